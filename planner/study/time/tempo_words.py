"""What the tempo words mean in beats a minute."""

import re

TEMPO_RANGES: dict[str, tuple[int, int]] = {
    "grave": (25, 45),
    "largo": (40, 60),
    "lento": (45, 65),
    "larghetto": (50, 66),
    "adagio": (55, 76),
    "adagietto": (58, 76),
    "andante": (60, 108),
    "andantino": (70, 108),
    "maestoso": (88, 92),
    "moderato": (80, 120),
    "allegretto": (100, 128),
    "allegro": (109, 168),
    "vivace": (126, 176),
    "presto": (144, 200),
    "prestissimo": (178, 208),
}
"""Lowest and highest beats a minute that published tables give to each word.

Source: the union of kenclassical.blogspot.com "Music tempo markings", instrument.bible
"Tempo", musique-harmonie.fr "Tempo" and the lossenderosstudio.com survey chart (Maestoso:
the traditional metronome scale); the tables disagree, so a word is kept as a range.
"""

SAME_AS: dict[str, str] = {
    # French
    "lent": "lento", "lentement": "lento", "très lent": "largo", "modéré": "moderato",
    "modérément": "moderato", "animé": "allegro", "assez vif": "allegretto", "vif": "vivace",
    "vivement": "vivace", "très vif": "presto", "vite": "allegro", "très vite": "presto",
    "rapide": "presto", "allant": "andante", "gai": "allegro", "gaiement": "allegro",
    # German
    "langsam": "lento", "sehr langsam": "largo", "breit": "largo", "gehend": "andante",
    "mäßig": "moderato", "mässig": "moderato", "gemächlich": "andante", "bewegt": "allegretto",
    "lebhaft": "allegro", "sehr lebhaft": "vivace", "munter": "allegretto", "schnell": "allegro",
    "sehr schnell": "presto", "rasch": "allegro", "sehr rasch": "presto", "geschwind": "allegro",
    "flott": "allegro", "getragen": "adagio", "feierlich": "maestoso", "lustig": "allegro",
    # English
    "slow": "lento", "slowly": "lento", "very slow": "largo", "broadly": "largo", "stately": "maestoso",
    "majestically": "maestoso", "moderate": "moderato", "moderately": "moderato",
    "medium tempo": "moderato", "at a walking pace": "andante", "lively": "allegro", "fast": "allegro",
    "very fast": "presto", "brightly": "allegro", "bright": "allegro", "brisk": "allegro",
    "briskly": "allegro", "quick": "allegro", "quickly": "allegro", "gently moving": "andante",
    "flowing": "andante", "march tempo": "allegretto",
    # Italian cousins of the table's words
    "largamente": "largo", "lentamente": "lento", "vivo": "vivace", "vivacissimo": "presto",
    "tempo di marcia": "allegretto", "alla marcia": "allegretto", "marziale": "allegretto",
    "tempo di valse": "vivace", "tempo di minuetto": "moderato", "tempo giusto": "moderato",
    "presto assai": "prestissimo", "allegro assai": "vivace", "allegro molto": "vivace",
    "molto allegro": "vivace", "allegro moderato": "allegretto", "allegro ma non troppo": "allegretto",
    "allegro non troppo": "allegretto", "andante con moto": "andantino",
}  # fmt: skip
"""Other words and phrases, by the table word they come nearest to. Source: from memory."""

_ALL = sorted((*TEMPO_RANGES, *SAME_AS), key=lambda word: (-len(word), word))
_FINDER = re.compile(r"(?<!\w)(" + "|".join(re.escape(word) for word in _ALL) + r")(?!\w)", re.IGNORECASE)


def tempo_word(text: str) -> tuple[str, int, int] | None:
    """The first tempo word in a text with its range in beats a minute; None without one.

    Example:
        >>> tempo_word("Allegro con brio"), tempo_word("Sehr langsam."), tempo_word("cantabile")
        (('allegro', 109, 168), ('sehr langsam', 40, 60), None)
    """
    found = _FINDER.search(text)
    if not found:
        return None
    word = found.group(1).lower()
    low, high = TEMPO_RANGES[SAME_AS.get(word, word)]
    return word, low, high
