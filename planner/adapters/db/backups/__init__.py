"""Backups of a home: one zip each, checked by hash, brought back while pages are served."""

from planner.adapters.db.backups.keep import HomeBackups
from planner.adapters.db.backups.places import HomePlaces

__all__ = ["HomeBackups", "HomePlaces"]
