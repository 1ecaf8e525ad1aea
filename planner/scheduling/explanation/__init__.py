"""Why no plan exists: constraints by cause, the smallest set of them that conflicts, what would mend it."""
