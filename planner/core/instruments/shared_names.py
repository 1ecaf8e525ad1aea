"""Words that name several instruments, and qualifiers that make one name of two words.

"Alto" is a singer, a viola (French), a saxophone or a brass-band horn; only the rest of the page tells.
The weights say how often a part so named is for each, before anything else is known. Source: house choices
after common score-order terms.
"""

UNKNOWN = ""
"""Stands among the weights for an instrument that the table has not."""

_BASSES = (
    "double-bass 0.3 bass-voice 0.9 tuba 0.12 tuba-eflat-treble 0.3 tuba-bflat-treble 0.3 bass-guitar 0.4"
)
_BARITONES = (
    "baritone-horn 1 baritone-horn-treble 1 baritone-voice 1 euphonium 0.1 euphonium-treble 0.1 "
    "saxophone-baritone 0.15"
)
_ALTOS = "alto 1 viola 0.25 saxophone-alto 0.1 tenor-horn-eflat 0.1 trombone-alto 0.05 recorder-alto 0.1"

_ROWS: tuple[tuple[str, str], ...] = (
    ("alto/altos", _ALTOS),
    ("contralto", "alto 1 saxophone-alto 0.05"),
    (
        "tenor/tenors/tenore/tenores",
        "tenor 1 saxophone-tenor 0.06 trombone 0.005 recorder-tenor 0.1 tenor-horn-eflat 0.03 "
        "baritone-horn-treble 0.03 tenor-drum 0.1",
    ),
    ("soprano/soprani", "soprano 1 cornet-eflat 0.1 saxophone-soprano 0.08 recorder-soprano 0.1"),
    ("bar/baritone/baritones/bariton/baritono/baritoni/baritonos/baryton/barytons", _BARITONES),
    ("bass/bajo/bajos", _BASSES),
    ("basses", f"{_BASSES} tuba 0.4"),
    ("basse", f"{_BASSES} euphonium 0.4 euphonium-treble 0.2"),
    ("basso/bassi", f"{_BASSES} double-bass 0.5 tuba 0.08 cello 0.05 harpsichord 0.05"),
    ("timbales", "timpani 0.25 timbales 1"),
    ("horn/horns", "horn-f 1 tenor-horn-eflat 0.3"),
    ("solo horn", "horn-f 0.5 tenor-horn-eflat 1"),
    ("cor", "horn-f 1 cornet-bflat 0.15"),
    ("tenorhorn/tenorhorner", "baritone-horn-treble 1 baritone-horn 0.15 tenor-horn-eflat 0.15"),
    ("tenor horn/tenor horns", "tenor-horn-eflat 1 baritone-horn-treble 0.05"),
    ("canto", "voice 1 soprano 0.1"),
    ("haute contre", "alto 1 tenor 1"),
    ("dessus", "soprano 1 violin 0.1"),
    ("taille", "tenor 1 viola 0.1"),
    ("drums", "drum-set 1 percussion 0.15"),
    ("schlagzeug", "percussion 1 drum-set 1"),
    ("batterie/batteria/bateria", "drum-set 1 percussion 0.4"),
    ("clave", "harpsichord 1 claves 0.6"),
    ("tambour", "snare-drum 1 tenor-drum 0.1"),
    (
        "saxophone/saxophones/saxophon/sax/saxofon/sassofono/saxofono/saxo",
        "saxophone-alto 1 saxophone-tenor 0.7 saxophone-soprano 0.2 saxophone-baritone 0.2",
    ),
    (
        "recorder/recorders/blockflote/blockfloten/flauta dulce/flute a bec/flauto dolce/flauto a becco",
        "recorder-soprano 1 recorder-alto 0.2 recorder-tenor 0.05 recorder-bass 0.05",
    ),
    ("trb", "trombone 1 trumpet-bflat 0.3"),
    ("continuo/basso continuo", "harpsichord 1 organ 0.15"),
    ("a cl", "clarinet-alto 1 clarinet-a 0.7"),
    ("b cl", "clarinet-bass 1 clarinet-bflat 0.5"),
    ("cl b", "clarinet-bass 1 clarinet-bflat 0.4"),
    ("tb", "tuba 1 voice 0.5"),
    ("tambourin", "tambourine 1 tenor-drum 0.5"),
    ("bells", "glockenspiel 1 chimes 0.1"),
)


def _weights(row: str) -> dict[str, float]:
    words = row.split()
    return {id_: float(weight) for id_, weight in zip(words[::2], words[1::2], strict=True)}


_ELSEWHERE = (
    "viola da gamba/viola d'amore/viola pomposa/gamba/oboe da caccia/bass oboe/wagner tuba/wagner tubas/"
    "tenor oboe/flauto d'amore/pan flute/flauto di pan/flute de pan/flauta de pan/panflote/tin whistle/"
    "tuba wagneriana/tube wagneriane/violoncello piccolo/violino piccolo/keyed bugle/cor de postillon/"
    "hautbois de chasse"
)
"""Folded names of instruments that the table has not, though other names of it stand within them."""

SHARED: dict[str, dict[str, float]] = {
    **{name: _weights(row) for names, row in _ROWS for name in names.split("/")},
    **{name: {UNKNOWN: 1.0} for name in _ELSEWHERE.split("/")},
}
"""Folded names that stand for several instruments; any other name stands for the rows it is listed in."""

QUALIFIERS: dict[str, str] = {
    word: meaning
    for meaning, words in {
        "piccolo": "piccolo piccola piccoli small petite petit kleine kleines sopranino requinto",
        "soprano": "soprano sopranos soprani sopran sop descant sopr",
        "alto": "alto altos alti alt contralto contralti contraltos contraltus",
        "tenor": "tenor tenors tenore tenori tenores ten",
        "baritone": "baritone baritones bariton baritono baritoni baritonos baryton barytons bari bar",
        "bass": "bass basses basso bassi basse bajo bajos bas bs baixo baja bassa",
        "contralto": "contra-alto contraalto kontraalt",
        "contrabass": "contrabass contrabasso contrabbasso kontrabass contrebasse contrabajo contra kontra",
    }.items()
    for word in words.split()
}
"""Folded words that say which size of an instrument is meant, in any of the languages."""

COMPOUNDS: dict[str, dict[str, str]] = {
    "clarinet-bflat": {
        "piccolo": "clarinet-eflat", "soprano": "clarinet-bflat", "alto": "clarinet-alto",
        "bass": "clarinet-bass", "contralto": "clarinet-contra-alto", "contrabass": "clarinet-contrabass",
    },
    "saxophone-alto": {
        "soprano": "saxophone-soprano", "alto": "saxophone-alto", "tenor": "saxophone-tenor",
        "baritone": "saxophone-baritone", "bass": "saxophone-bass", "contralto": "saxophone-alto",
    },
    "flute": {"piccolo": "piccolo", "alto": "flute-alto", "bass": "flute-bass"},
    "oboe": {},
    "bassoon": {"contrabass": "contrabassoon"},
    "recorder-soprano": {
        "soprano": "recorder-soprano", "alto": "recorder-alto", "tenor": "recorder-tenor",
        "bass": "recorder-bass",
    },
    "horn-f": {
        "alto": "tenor-horn-eflat", "tenor": "tenor-horn-eflat", "baritone": "baritone-horn",
    },
    "trumpet-bflat": {"piccolo": "trumpet-piccolo-bflat"},
    "cornet-bflat": {"soprano": "cornet-eflat"},
    "flugelhorn": {
        "soprano": "flugelhorn", "piccolo": "cornet-eflat", "alto": "tenor-horn-eflat",
        "tenor": "baritone-horn", "baritone": "euphonium", "bass": "euphonium", "contrabass": "tuba",
    },
    "trombone": {"alto": "trombone-alto", "tenor": "trombone", "bass": "trombone-bass"},
    "tuba": {"bass": "tuba", "contrabass": "tuba", "tenor": "euphonium"},
    "guitar": {"bass": "bass-guitar"},
    "guitar-electric": {"bass": "bass-guitar"},
    "voice": {
        "soprano": "soprano", "alto": "alto", "tenor": "tenor", "baritone": "baritone-voice",
        "bass": "bass-voice",
    },
    "snare-drum": {"tenor": "tenor-drum"},
}  # fmt: skip
"""For each instrument that is built in sizes: what it is called with a qualifier. A size that is missing is
an instrument the table has not (a bass trumpet), which is never taken for the usual size."""
