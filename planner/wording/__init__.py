"""Every sentence about music, levels and plans, from typed values: for a player, the director, a page.

``study`` words what the study found, a module a subject; ``director`` what a director handles. Beside them
``issues.issue_sentence``, the guide's own words (``guide.py``), and the whole study as text and as JSON
(``study_text.study_to_text``, ``study_json.study_to_dict``). ``words.py`` spells bars, lists, pitches and
dates.
"""
