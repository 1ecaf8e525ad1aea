"""The version of the study: it goes up whenever anything changes that is stored of a score."""

STUDY_VERSION = 5
"""Stored with every study. A piece whose study is of an older version is studied again.

``tests/study/test_golden_study.py`` fails when a stored fact changes and this number does not.
"""
