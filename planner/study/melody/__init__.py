"""Who has the tune: the part with the main line, bar by bar, who doubles it, and who answers it.

Each bar of each part is described by a few numbers (``bars``), compared with what is the tune elsewhere
(``figures``), and weighed by weights learned from analysts' marks (``learned_weights``); the best path
through the parts is the claim (``claims``), and ``melody`` makes facts of it.
"""
