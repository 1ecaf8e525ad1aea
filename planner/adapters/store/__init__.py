"""The home folder on disk: score files by content, each whole or not there at all."""

from planner.adapters.store.files import FolderStore, Home

__all__ = ["FolderStore", "Home"]
