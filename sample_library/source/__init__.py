"""The source of the sample library: a small band-writing toolkit and one module a piece."""
