"""What a director handles, in words, a module a subject.

Levels (``levels.py``), who reads what (``matching.py``, ``playability.py``), the plan (``plan.py``), the
catalogue of pieces (``catalogue.py``), long work (``jobs.py``) and the journal (``changes.py``).
"""
