"""What a line asks of hands, lip and lungs on its instrument.

``technique.technique_challenges`` says where it is hard; ``breath_places``, ``slide``, ``strings`` and
``timpani`` how it is best played; ``breaths`` tells readers where to breathe.
"""
