"""How a score file becomes a ``Score``.

MusicXML is read straight from its tree; other formats are turned into MusicXML
first (see ``formats``, where music21 does the parsing). The core ``Score`` holds what
the page shows, and of that music21's stream keeps too little (jump targets and
``time-only`` of ``sound``, cue notes, bracketed accidentals, percussion
instruments, places of unpitched heads, implied repeats, concert-score parts). In
the tests music21, partitura and verovio read the same files as witnesses.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

from lxml import etree

from planner.adapters.scores.files.formats import check_kept, convert, kind_of, sources_in
from planner.adapters.scores.files.heal import parse_musicxml
from planner.adapters.scores.files.precheck import RawScore, load_raw
from planner.adapters.scores.reading.bars import measures_of
from planner.adapters.scores.reading.draft import PartDraft, clock_of
from planner.adapters.scores.reading.header import ListedPart, read_heading, read_part_list
from planner.adapters.scores.reading.marks import merge_marks
from planner.adapters.scores.reading.printed_text import printed
from planner.adapters.scores.reading.ties import mend_ties
from planner.adapters.scores.reading.walk import PartWalk
from planner.adapters.scores.writing.movements import cut_movement, movement_starts
from planner.core.instruments import page_of, recognise_together
from planner.core.issue import Issue, valued
from planner.core.score import Part, Score, TempoMark
from planner.errors import ScoreReadError


def read_score(path: Path) -> Score:
    """Read a score file as one score; several movements stay together and are told as an issue.

    Args:
        path: MusicXML, plain or compressed, Humdrum kern, ABC, MEI or MuseData.

    Returns:
        The score as printed; what was mended or looks wrong is in its ``issues``. Of a file of
        several tunes it is the first.

    Raises:
        ScoreReadError: If the file is damaged, empty, unsafe or holds no music.
        UnsupportedScoreError: If it is a kind of file that is not read as a score.
    """
    return read_raw(load_raw(path))


def read_raw(raw: RawScore) -> Score:
    """Read a score from bytes that passed the pre-check; see ``read_score``."""
    return next(_pieces(raw, split=False)).score


def read_scores(path: Path) -> tuple[Score, ...]:
    """Every piece of a file: its movements, or the tunes of a tune book, each as a score of its own.

    A tune that cannot be read is left out; the first score says which and why.

    Raises:
        ScoreReadError: As ``read_score``, or if no piece of the file can be read.
    """
    return tuple(piece.score for piece in _all_pieces(load_raw(path)))


def read_apart(path: Path) -> tuple[tuple[Score, bytes, bytes | None], ...]:
    """Every piece of a file, see ``read_scores``: its score, its clean file, and its own MusicXML.

    The last is None where the file is one piece.

    Raises:
        ScoreReadError: As ``read_scores``.
    """
    pieces = _all_pieces(load_raw(path))
    own = [None] if len(pieces) == 1 else [_written(piece.root) for piece in pieces]
    return tuple((piece.score, _clean(piece), data) for piece, data in zip(pieces, own, strict=True))


def read_clean(path: Path) -> tuple[Score, bytes]:
    """What ``read_score`` reads, and the same as a clean file for all that draws; see ``clean``.

    Raises:
        ScoreReadError: As ``read_score``.
    """
    piece = next(_pieces(load_raw(path), split=False))
    return piece.score, _clean(piece)


def _written(root: etree._Element) -> bytes:
    return etree.tostring(root, xml_declaration=True, encoding="utf-8")


@dataclass(frozen=True, slots=True)
class _Piece:
    """One piece of a file: its MusicXML tree, its score, and what the walk through each part gathered."""

    root: etree._Element
    score: Score
    drafts: tuple[PartDraft, ...]


def _clean(piece: _Piece) -> bytes:
    from planner.adapters.scores.writing.clean import clean_tree, packed

    return packed(clean_tree(piece.root, piece.score, piece.drafts))


def _all_pieces(raw: RawScore) -> list[_Piece]:
    refused: list[ScoreReadError] = []
    pieces = list(_pieces(raw, split=True, refused=refused))
    if not pieces:
        raise refused[0]
    if refused:
        values = valued(pieces=len(refused), reason=refused[0].reason)
        issue = Issue("pieces-refused", "warning", values=values)
        first = pieces[0].score
        pieces[0] = replace(pieces[0], score=replace(first, issues=(*first.issues, issue)))
    return pieces


def _pieces(raw: RawScore, *, split: bool, refused: list[ScoreReadError] | None = None) -> Iterator[_Piece]:
    """The pieces of a file, read one by one; unsplit there is one, with an issue about the others.

    Tunes of a book that cannot be read are added to ``refused`` when it is given, else raised.
    """
    kind = kind_of(raw)
    if kind == "musicxml":
        yield from _movements(raw, split=split)
        return
    sources = sources_in(raw, kind)
    several = Issue("several-pieces", "warning", values=valued(pieces=len(sources)))
    others = () if split or len(sources) == 1 else (several,)
    for source in sources if split else sources[:1]:
        try:
            converted = convert(raw.name, source, kind)
            root, issues = parse_musicxml(raw.name, converted.data)
            piece = _read_tree(raw.name, root, (*raw.issues, *converted.issues, *issues, *others))
            kept = check_kept(raw.name, converted, piece.score)
            piece = replace(piece, score=replace(piece.score, issues=(*piece.score.issues, *kept)))
        except ScoreReadError as error:
            if refused is None:
                raise
            refused.append(error)
        else:
            yield piece


def _movements(raw: RawScore, *, split: bool) -> Iterator[_Piece]:
    root, issues = parse_musicxml(raw.name, raw.data)
    issues = (*raw.issues, *issues)
    starts = movement_starts(root)
    if split and len(starts) > 1:
        for which in range(len(starts)):
            yield _read_tree(raw.name, cut_movement(root, starts, which), issues)
        return
    if len(starts) > 1:
        issues = (*issues, Issue("several-movements", "warning", values=valued(movements=len(starts))))
    yield _read_tree(raw.name, root, issues)


def _read_tree(name: str, root: etree._Element, issues: tuple[Issue, ...]) -> _Piece:
    """The piece of a ``score-partwise`` tree; ``name`` is the file's, for sentences and as last title."""
    heading = read_heading(root)
    clock = clock_of(root)
    found = list(issues)
    pairs = _parts_in_order(name, root, found)
    drafts = []
    for listed, element in pairs:
        draft = PartDraft(listed.name)
        walk = PartWalk(draft, clock, dict(listed.instruments), concert_score=heading.is_concert_score)
        drafts.append(walk.walk(element))
        if not listed.is_named:
            draft.add_issue("part-unnamed")
    measures = measures_of(drafts, [element for _, element in pairs], clock, found)
    if not measures:
        raise ScoreReadError(name, "it holds no measures")
    for draft in drafts:
        mend_ties(draft, measures)
        found += draft.issues
    title = heading.title
    if not title:
        title = printed(Path(name).stem)
        found.append(Issue("title-missing", "note", values=valued(title=title)))
    score = Score(
        title=title,
        measures=measures,
        parts=_with_instruments([_part(listed, own) for (listed, _), own in zip(pairs, drafts, strict=True)]),
        subtitle=heading.subtitle,
        creators=heading.creators,
        rights=heading.rights,
        marks=merge_marks(drafts),
        tempos=_merge_tempos(drafts),
        issues=tuple(dict.fromkeys(found)),
    )
    return _Piece(root, score, tuple(drafts))


def _parts_in_order(
    name: str, root: etree._Element, issues: list[Issue]
) -> list[tuple[ListedPart, etree._Element]]:
    """Part list entries with their music, names made unique."""
    music: dict[str, etree._Element] = {}
    for element in root.findall("part"):
        part_id = element.get("id", "")
        if part_id in music:
            raise ScoreReadError(
                name, f"two parts share the identity {part_id!r}, so their music cannot be told apart"
            )
        music[part_id] = element
    if not music:
        raise ScoreReadError(name, "it holds no parts with music")
    listed = {entry.id: entry for entry in read_part_list(root)}
    silent = (listed[part_id].name for part_id in listed.keys() - music.keys())
    issues.extend(Issue("part-without-music", "warning", part) for part in silent)
    for part_id in music.keys() - listed.keys():
        entry = ListedPart(part_id, part_id or "Part", "", "", None, (), "", is_named=False)
        listed[part_id] = entry
    entries = [entry for entry in listed.values() if entry.id in music]
    return [(entry, music[entry.id]) for entry in _unique_names(entries, issues)]


def _unique_names(entries: list[ListedPart], issues: list[Issue]) -> list[ListedPart]:
    """The entries with a count behind each name that is used more than once."""
    used = Counter(entry.name for entry in entries)
    seen: Counter[str] = Counter()
    unique = []
    for entry in entries:
        if used[entry.name] > 1:
            seen[entry.name] += 1
            label = f"{entry.name} ({seen[entry.name]})"
            if seen[entry.name] == 1:
                values = valued(parts=used[entry.name], name=entry.name)
                issues.append(Issue("part-names-equal", "note", label, values=values))
            entry = _renamed(entry, label)
        unique.append(entry)
    return unique


def _renamed(entry: ListedPart, name: str) -> ListedPart:
    return ListedPart(
        entry.id, name, entry.abbreviation, entry.sound, entry.midi_program, entry.instruments, entry.group,
        entry.is_named,
    )  # fmt: skip


def _merge_tempos(drafts: list[PartDraft]) -> tuple[TempoMark, ...]:
    """Tempo marks of all parts, one for each place and wording.

    A mark with a printed number stands before one without it; among equals the topmost part's does. A
    number without words is left out where another part has a printed number at the same place.
    """
    found: dict[tuple[int, Fraction, str], TempoMark] = {}
    stated: set[tuple[int, Fraction]] = set()
    numbered: set[tuple[int, Fraction]] = set()
    for draft in drafts:
        for tempo in draft.tempos:
            place = (tempo.measure, tempo.onset_quarters)
            is_numbered = tempo.beat_unit_quarters is not None
            if not tempo.text and place in (numbered if is_numbered else stated):
                continue
            key = (*place, tempo.text.casefold())
            if key not in found or (is_numbered and found[key].beat_unit_quarters is None):
                found[key] = tempo
        stated |= {(tempo.measure, tempo.onset_quarters) for tempo in draft.tempos}
        numbered |= {
            (tempo.measure, tempo.onset_quarters)
            for tempo in draft.tempos
            if tempo.beat_unit_quarters is not None
        }
    return tuple(sorted(found.values(), key=lambda t: (t.measure, t.onset_quarters)))


def _with_instruments(parts: Sequence[Part]) -> tuple[Part, ...]:
    """The parts with their instruments, each recognised in the light of the others."""
    found = recognise_together(tuple(page_of(part) for part in parts))
    return tuple(replace(part, instrument=own.instrument) for part, own in zip(parts, found, strict=True))


def _part(listed: ListedPart, draft: PartDraft) -> Part:
    """The finished part, but for its instrument."""
    return Part(
        id=listed.id,
        name=listed.name,
        abbreviation=listed.abbreviation,
        sound=listed.sound,
        midi_program=listed.midi_program,
        transpositions=tuple(draft.transpositions),
        staves=draft.staves,
        clefs=tuple(draft.clefs),
        keys=tuple(draft.keys),
        notes=tuple(draft.notes),
        dynamics=tuple(sorted(draft.dynamics, key=lambda d: (d.measure, d.onset_quarters, d.staff))),
        hairpins=tuple(draft.hairpins),
        words=tuple(sorted(draft.words, key=lambda w: (w.measure, w.onset_quarters, w.staff))),
        octave_lines=tuple(draft.octave_lines),
        group=listed.group,
        times=tuple(draft.times),
    )
