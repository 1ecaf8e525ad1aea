"""A piece and the ensemble that would read it.

``casting.cast_parts`` says who reads what, ``coverage.find_cover`` who stands in for a part nobody reads,
``outlook.outlook_of`` how well it suits every section, ``playability.check_part`` what a section should know
about its part. Playability looks at the notes, so this room may import the study.
"""
