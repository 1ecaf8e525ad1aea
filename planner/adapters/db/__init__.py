"""The library's database (SQLAlchemy); the only place that knows tables."""
