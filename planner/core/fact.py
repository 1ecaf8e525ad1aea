"""A ``Fact``: one thing the study found that a reader may want to know, as values and never as words."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Self

Place = tuple[int, int]
"""First and last written measure, 0-based, both included."""


class Topic(StrEnum):
    """What a fact is about, in the order in which a good reader looks."""

    METER = "meter"
    ROADMAP = "roadmap"
    FORM = "form"
    TUNE = "tune"
    KEY = "key"
    HARMONY = "harmony"
    ACCIDENTALS = "accidentals"
    SPOTS = "spots"
    PATTERNS = "patterns"
    EXPRESSION = "expression"
    RANGE = "range"
    TEMPO = "tempo"
    FIT = "fit"


class FactKind(StrEnum):
    """Every kind of fact, with its topic. Beside each: the values it carries.

    Each kind has exactly one function in ``planner/wording`` that turns it into words.

    A kind whose ``is_overview`` is set sums up several places of the piece: it stands before the facts
    about single places, and has no first bar of its own.
    """

    topic: Topic
    is_overview: bool

    def __new__(cls, slug: str, topic: Topic, is_overview: bool = False) -> Self:
        """A kind with its slug, which is its value, and its topic."""
        member = str.__new__(cls, slug)
        member._value_ = slug
        member.topic = topic
        member.is_overview = is_overview
        return member

    # meter
    METER = "meter", Topic.METER
    """places: the first measure; its grouping is the first of ``meters``; where that is even, numbers:
    ``beats`` of a bar and their length in ``quarters``; terms: ``cut`` where the cut sign is printed. The
    first of ``meters`` says whether a signature is printed at all."""
    PICKUP = "pickup", Topic.METER
    """places: the first measure; numbers: its length in ``quarters``."""
    OWN_METER = "own-meter", Topic.METER, True
    """Another signature on the part's page than on most others; places: where; terms: the part's signature
    in each."""
    METER_CHANGES = "meter-changes", Topic.METER
    """places: the measure of each change, as in ``meters``."""
    AGAINST_METER = "against-meter", Topic.METER
    """places: one passage; terms: the ``Counter`` of ``study.time.hemiola`` it follows."""

    ACCENTED_BEATS = "accented-beats", Topic.METER
    """places: a passage of the part in which every bar has an accent on one beat after the first, and none on
    the first; numbers: the ``beat``, counted from 1 in units of the signature."""
    OFFBEATS = "offbeats", Topic.METER
    """places: passages in which none of the part's notes begins on a felt beat, and only one after each."""
    AGAINST_TRIPLETS = "against-triplets", Topic.METER
    """The part divides the beat evenly against triplets; places: over which bars; parts: who has them, where
    one part has them in most bars of every place."""
    RHYTHM_TO_TAP = "rhythm-to-tap", Topic.METER
    """The bar of the part whose rhythm is most worth tapping; places: it, and where it comes again; numbers:
    ``onset_quarters``, once for each note, and ``pulse_quarters``, once for each felt pulse, from the start
    of the bar, and ``bar_quarters``, how long it is."""
    RHYTHM_TO_COUNT = "rhythm-to-count", Topic.METER
    """Another bar of the part that takes counting: a hard one, or the next best rhythm; places: it; numbers:
    as for ``RHYTHM_TO_TAP``."""
    SAME_BEATS = "same-beats", Topic.METER
    """places: a passage in which the part plays on the same felt beats in each of its bars, never on the
    first; numbers: each ``beat``, counted from 1."""
    BARS_BEGIN_TIED = "bars-begin-tied", Topic.METER
    """places: the bars that begin on a note held over from the bar before, and have others after it;
    numbers: how many bars begin so ``in_all``."""
    BARS_BEGIN_SILENT = "bars-begin-silent", Topic.METER
    """places: the bars that begin with a rest and in which the part comes in on the same felt ``beat``, a
    number from 1, half a beat more for the half of one."""
    COUNTED_RESTS = "counted-rests", Topic.METER
    """places: the bars of the entrances after two whole bars of rest or more; numbers: for each the ``bars``
    of rest, and the felt ``beat`` on which it comes, 0 where it falls on none."""
    STOPS_EARLY = "stops-early", Topic.METER
    """A part that is silent at the end while others play; places: the bar in which it last sounds; numbers:
    how many ``bars`` follow."""
    HELD_NOTE = "held-note", Topic.METER
    """The part's longest note; places: from the bar in which it begins, which has no other, to its last;
    numbers: how many felt ``beats`` it is held, and their length in ``beat_quarters``."""
    ONE_RHYTHM = "one-rhythm", Topic.METER
    """places: passages in which all parts that sound strike together, passing notes aside."""

    # form
    SECTIONS = "sections", Topic.FORM, True
    """The sections of the profile's ``form``; numbers: ``shown``, how many of them are named."""
    OPENING_RETURNS = "opening-returns", Topic.FORM
    """places: where the melody of the first bars comes again, note for note."""
    TUNE_RETURNS = "tune-returns", Topic.FORM
    """places: a stretch of the melody, and where it comes again, whoever has it, nearly note for note."""
    PHRASES = "phrases", Topic.FORM, True
    """The profile's ``phrases``; numbers: ``phrases``, how many; ``usual``, the length in bars that most of
    them have; ``alike``, how many have it; ``length``, the full bars of each phrase in turn."""

    # tune; each about one part
    HAS_TUNE = "has-tune", Topic.TUNE, True
    """places: where it has the tune, the longest ones; numbers: how many ``more``; without places, terms:
    ``throughout``."""
    DOUBLES_TUNE = "doubles-tune", Topic.TUNE, True
    """places: where it plays the tune in unison or octaves with another part; parts: that one, which has the
    tune; numbers: how many ``more``, and how many ``octaves`` higher it sounds, if always as many."""
    ACCOMPANIES = "accompanies", Topic.TUNE, True
    """places: where it accompanies another part; parts: that one, which has the tune; numbers: how many
    ``more``; without places, terms: ``throughout``."""
    ANSWERS = "answers", Topic.TUNE
    """places: the bars of the answer, and the bars of what it answers; parts: whom; numbers: how many
    ``notes`` agree, and the ``steps`` of the staff to the answer as they sound, upward above 0."""

    # patterns
    PATTERN = "pattern", Topic.PATTERNS
    """places: its first appearance; numbers: ``pattern``, its place among the part's ``patterns``."""
    IN_PATTERNS = "in-patterns", Topic.PATTERNS
    """places: the bar in which the last pattern ends, after which it is read; numbers: ``share``, of the
    part's notes that stand in repeats, sequences and ostinati, 0 to 1."""

    # accidentals; each about one part, its values in the part's ``accidentals``
    OUTSIDE_SIGNATURE = "outside-signature", Topic.ACCIDENTALS
    """notes: the usual names of kind ``first``, by place; numbers: ``more``, how many are rarer."""
    IN_SIGNATURE = "in-signature", Topic.ACCIDENTALS
    """Every note is in the one signature of the part; numbers: its ``fifths``, flats below 0."""
    STILL_ALTERED = "still-altered", Topic.ACCIDENTALS
    """notes: the usual names of kind ``again``, by place; numbers: ``more``, how many are rarer."""
    REMINDERS = "reminders", Topic.ACCIDENTALS
    """notes: the usual names of kind ``courtesy``, by place; numbers: ``more``, how many are rarer."""
    SPELLINGS = "spellings", Topic.ACCIDENTALS
    """notes: the usual names of kind ``enharmonic``, by place; numbers: ``more``, how many are rarer."""

    # expression
    WORDS = "words", Topic.EXPRESSION, True
    """terms: texts on the page that the glossary knows; places: the bar of each; a text that comes again
    stands once for each bar, one after another; numbers: ``more``, how many texts are left out. What they
    mean stands in the profile's ``expression``."""
    FERMATAS = "fermatas", Topic.EXPRESSION, True
    """places: the bars in which a fermata stops everyone."""
    NO_DYNAMICS = "no-dynamics", Topic.EXPRESSION
    """The part has no dynamics on its page."""
    DYNAMICS = "dynamics", Topic.EXPRESSION
    """The part's ``dynamics``, few enough to be read one by one; numbers: ``sudden``, how many of the sudden
    ones are spoken of, from the first on, and ``swells``, how many swells are left out, none or all."""
    DYNAMIC_EXTREMES = "dynamic-extremes", Topic.EXPRESSION, True
    """terms: the softest lasting mark of the part, once for each of its bars, then the loudest in the same
    way; places: these bars; both empty without lasting marks; numbers: ``marks``, ``swells``, and ``sudden``
    as for ``DYNAMICS``."""
    ARTICULATIONS = "articulations", Topic.EXPRESSION
    """The part's ``articulations``."""
    STYLE = "style", Topic.EXPRESSION, True
    """terms: how most notes are played, ``slurred``, ``staccato``, ``accented`` or ``tenuto``; places: the
    passage of each."""
    # roadmap
    PLAYED_STRAIGHT = "played-straight", Topic.ROADMAP
    """No repeats and no jumps."""
    ROADMAP = "roadmap", Topic.ROADMAP
    """The order of play, as in ``roadmap``; numbers: bars ``written`` and ``played``, as they are counted."""
    ROADMAP_MARKS = "roadmap-marks", Topic.ROADMAP
    """The marks on the page; numbers: ``mark``, once for each: its place in ``roadmap.marks``."""
    LANDMARKS = "landmarks", Topic.ROADMAP, True
    """Bars of the part that a reader finds at a glance and from which it plays (``PartProfile.landmarks``);
    places: each with the bar in which the part comes in."""
    MARKS_LACKING = "marks-lacking", Topic.ROADMAP
    """Marks that other pages have and the part's own lacks; numbers: as for the marks on the page."""

    # key
    HOME_KEY = "home-key", Topic.KEY
    """keys: the home key, sounding."""
    AWAY_FROM_HOME = "away-from-home", Topic.KEY
    """Another key; keys: it, sounding; places: where; terms: its ``KeyRelation``, none for a distant one;
    numbers: how many ``more`` places there are."""
    KEY_ACCIDENTALS = "key-accidentals", Topic.ACCIDENTALS
    """Accidentals that a key brings to a part; places: from the first to the last; notes: each name once;
    keys: the key as written, and as sounding where that differs; terms: ``touched`` where the music does not
    stay in it; numbers: ``times`` in all, and the ``leading`` note's place in notes if it is among them."""

    # harmony
    CADENCE = "cadence", Topic.HARMONY
    """places: the bar of its last chord; terms: its ``CadenceKind``; keys: its key, sounding."""
    CHORD_MEMBER = "chord-member", Topic.HARMONY
    """What a part holds in the last chord of a cadence; places: its bar; notes: the one it has; terms: what
    it is in the chord, ``root``, ``third``, ``fifth`` or ``seventh``."""
    PEDAL_POINT = "pedal-point", Topic.HARMONY
    """places: how long it lasts; notes: its note, sounding; parts: who holds it."""
    PEDAL_HELD = "pedal-held", Topic.HARMONY
    """The part holds a pedal point; places: how long; notes: its note."""

    # spots
    SPOT = "spot", Topic.SPOTS
    """places: one passage, a ``Spot`` of the part; terms: the ``ChallengeKind`` of each of its challenges."""

    CHALLENGE = "challenge", Topic.SPOTS
    """A ``Challenge`` of the part of a kind that leads none of its spots, the heaviest of that kind; places:
    over which bars; terms: its ``ChallengeKind``, then its own terms; notes and numbers: its own."""

    # tempo
    TEMPO = "tempo", Topic.TEMPO
    """The tempo at the beginning, as in ``tempo_bpm``."""
    TEMPO_TURNS = "tempo-turns", Topic.TEMPO
    """The tempo changes, as in ``tempo_turns``."""
    READING_TEMPO = "reading-tempo", Topic.TEMPO
    """The reading tempos, as in ``tempo_bpm``; where a part holds them down, parts: that one; numbers:
    ``notes_a_second`` in its busy bars at the reading tempo."""
    PLAYING_TIME = "playing-time", Topic.TEMPO
    """numbers: ``seconds`` with the roadmap at ``bpm``, the tempo marked or assumed."""

    # page and player
    SIGNATURE_CHANGES = "signature-changes", Topic.KEY
    """places: the bar of each new key signature of the part; numbers: ``fifths``, one for each, flats below
    0, and ``before``, those of the signature at the beginning."""
    CLEF_CHANGES = "clef-changes", Topic.KEY
    """places: the bar of each change of clef; terms: the new clef; numbers: ``staves`` of the part, and
    ``staff``, one for each."""
    HIGHEST_NOTE = "highest-note", Topic.RANGE
    """places: the few bars in which the part has its highest note; notes: it, as written."""
    WIDEST_LEAP = "widest-leap", Topic.RANGE
    """places: the bar in which the part's one widest leap arrives; notes: from which to which, as written."""
    BREATHS = "breaths", Topic.RANGE
    """places: the bars in which a singer or wind player breathes; terms: for each ``rest`` or
    ``long-note``, one that ends a phrase with no rest after it."""

    # instrument; each about one part
    STRUCK = "struck", Topic.RANGE, True
    """A percussion part whose every stroke is named on the page; terms: the instruments, in the order in
    which they come in; places: the bar of the first stroke on each."""
    DRUMS_TUNED = "drums-tuned", Topic.RANGE, True
    """Timpani; notes: the pitches tuned at the beginning, low to high, then for each change the old and the
    new one; places: the bar for which each change must be done; numbers: how many ``opening`` pitches, and
    ``seconds``, once for each change, from the last note of the old pitch at the first-reading tempo;
    where bars are played again also ``time``, once for each change: which time its bar is played, 0 where
    that is once."""
    FIRST_NOTE = "first-note", Topic.RANGE, True
    """A singer's first note; places: its bar; notes: it; parts: who has it just before, if anybody; terms:
    ``top`` or ``bass`` of all that is heard then, none where it is alone; keys: the key there; numbers: its
    ``degree`` in it, 1 to 7, if it is in the scale, how many ``octaves`` higher that part has it, if not in
    the same octave, or how many ``steps`` of the staff the note lies above the last top note, that part's."""
    HIGH_POSITION = "high-position", Topic.RANGE, True
    """A bowed part's highest note cannot be stopped in a lower position of the left hand; places: its bars;
    notes: it; numbers: the lowest ``position`` in which it can."""
    FIRST_POSITION = "first-position", Topic.RANGE
    """Every note of a bowed part can be stopped in the first position of the left hand."""
    FINGERINGS = "fingerings", Topic.RANGE, True
    """Notes of the part that its beginners finger last; notes: each as written; terms: for each its
    ``Way`` of ``study.lines.fingering_tables``; places: the first bar of each; numbers: ``octave``, once for
    each, where the same letter is fingered otherwise in another octave of the part: -1 it is the lowest of
    them, 1 the highest; 0 where that does not matter."""
    CHANGES = "changes", Topic.EXPRESSION, True
    """What the player puts on, takes off or takes up; terms: a ``Change`` of ``core.glossary.changes`` for
    each, an instrument as ``take:`` and its id; places: the bar from which it holds; numbers: ``opening``,
    how many of them, standing first, hold from the first note on, and ``seconds``, once for each of the
    others: the silence before it at the tempo of the first reading, the shortest where it comes again."""
    SWITCHES = "switches", Topic.RANGE, True
    """A percussion part leaves one instrument for another; terms: for each the one left and the one
    taken up; places: the bar of the first stroke after; numbers: ``seconds``, once
    for each, as for ``CHANGES``."""
    SAME_BARS = "same-bars", Topic.PATTERNS
    """A percussion part plays one bar again and again; places: each such run of bars, longest first."""
    ROLLS = "rolls", Topic.EXPRESSION
    """A percussion part rolls; places: the bars."""
    CUES = "cues", Topic.EXPRESSION, True
    """Small notes that belong to another part, over rests of this one; places: the bars; terms: for each
    whose they are, a part that has them or an instrument as printed; empty where the page only has the word
    cue."""
    DIVIDED = "divided", Topic.EXPRESSION, True
    """A bowed part divides in two where the page says so; places: from the first bar to the last."""
    PLAYERS = "players", Topic.EXPRESSION, True
    """A wind part for two players tells who plays; terms: ``first``, ``second`` or ``both``; places: the bar
    from which each holds."""

    # fit
    WHOLE_FITS = "whole-fits", Topic.FIT
    """A whole reading fits; numbers: minutes there are (``limit``), those of the reading in all (``total``)
    and of its steps: ``study``, ``hearing``, ``first`` reading, ``fixing``, ``second`` reading."""
    PASSAGE_FITS = "passage-fits", Topic.FIT
    """Only a passage fits; places: it, one of ``excerpts``; numbers: as above, for the whole piece."""
    NOTHING_FITS = "nothing-fits", Topic.FIT
    """No passage of whole phrases fits; numbers: as above."""


@dataclass(frozen=True, slots=True)
class Fact:
    """One fact about the piece or about one part.

    Attributes:
        kind: What it is.
        part: Name of the part it is about; empty when it is about everyone.
        places: Where, as written measures.
        parts: Names of other parts it speaks of.
        notes: Spelled pitches or pitch names, as ``core.pitch`` writes them (``"Bb4"``, ``"F#"``); written
            for the part, sounding when it is about everyone.
        keys: Keys, such as ``"Bb major"``.
        terms: Further names from a closed list, or words printed on the page; the kind says which.
        numbers: Named numbers, such as ``(("times", 3),)``; a name may come more than once.
        certainty: How sure the study is, 0 to 1.
        weight: How much it matters to a reader, 0 to 1; sheets take the heaviest first.
    """

    kind: FactKind
    part: str = ""
    places: tuple[Place, ...] = ()
    parts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    keys: tuple[str, ...] = ()
    terms: tuple[str, ...] = ()
    numbers: tuple[tuple[str, float], ...] = ()
    certainty: float = 1.0
    weight: float = 0.5

    @property
    def topic(self) -> Topic:
        """What it is about."""
        return self.kind.topic

    @property
    def measure(self) -> int | None:
        """First measure of its first place; None for an overview, or when it holds throughout."""
        return self.places[0][0] if self.places and not self.kind.is_overview else None

    @property
    def end_measure(self) -> int | None:
        """Last measure of its last place; None for an overview, or when it holds throughout."""
        return self.places[-1][1] if self.places and not self.kind.is_overview else None

    def number(self, name: str) -> float:
        """A named number.

        Raises:
            KeyError: If it has none of that name.

        Example:
            >>> Fact(FactKind.AGAINST_METER, numbers=named(times=3)).number("times")
            3
        """
        return dict(self.numbers)[name]

    def each(self, name: str) -> tuple[float, ...]:
        """All numbers of that name, in order.

        Example:
            >>> Fact(FactKind.ROADMAP_MARKS, numbers=(("mark", 0), ("mark", 3))).each("mark")
            (0, 3)
        """
        return tuple(number for each, number in self.numbers if each == name)


def named(**numbers: float) -> tuple[tuple[str, float], ...]:
    """Named numbers of a fact.

    Example:
        >>> named(notes=4, times=2)
        (('notes', 4), ('times', 2))
    """
    return tuple(numbers.items())


def in_reading_order(facts: Iterable[Fact], part_names: Iterable[str]) -> tuple[Fact, ...]:
    """Facts by topic, those for everyone first, then by part in score order, then by place."""
    topics = {topic: at for at, topic in enumerate(Topic)}
    order = {name: at for at, name in enumerate(part_names)}
    return tuple(
        sorted(
            facts,
            key=lambda fact: (
                topics[fact.topic],
                order.get(fact.part, -1),
                -1 if fact.measure is None else fact.measure,
            ),
        )
    )
