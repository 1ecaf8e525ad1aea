"""Studying files on a cluster of other machines, through Dask's futures."""
