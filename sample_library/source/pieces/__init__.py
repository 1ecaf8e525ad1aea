"""The pieces, one module each; every module has ``build() -> Setting``."""
