"""How a section's level moves from week to week when nobody measures it."""

GROWTH_A_WEEK = 0.025
"""Levels a section is expected to gain a week, before its own results say more.

Source: house choice: the printed grades ½ to 3 are meant for about the first four school years of
36 weeks, so 0.6 to 0.75 levels a year; sections that read every week are taken to gain a little more.
"""

GROWTH_SPREAD = 0.02
"""Standard deviation, in levels a week, by which sections differ in their growth. Source: house choice."""

DRIFT_A_WEEK = 0.04
"""Standard deviation, in levels, by which a section's level wanders from its growth in a week.

Source: house choice; over a term of 16 weeks it grows to 0.16 levels.
"""

GROWING_WEEKS = 40.0
"""Weeks without results after which growth is no longer taken for granted. Source: about a school year."""
