"""One user intention a module. Plain functions over ports; no framework, no file format."""
