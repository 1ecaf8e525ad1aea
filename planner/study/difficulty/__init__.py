"""How hard each part and the piece are, and why.

``difficulty.rate`` gives every part and the piece a level with what was measured for it, from what
``evidence.gather`` measures once; ``criteria.check_score`` holds a score against published limits.
"""
