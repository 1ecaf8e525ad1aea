"""What a line asks of hands, lip and lungs on its instrument.

``technique.technique_level`` says what that adds to a part's motion, ``technique.technique_challenges``
where it is hard.
"""
