"""Pictures of levels, readings and marks as plain shapes, drawn on pages and on paper."""
