"""Sentences about music: the study's facts, one module a subject."""
