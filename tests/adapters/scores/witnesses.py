"""Three other libraries read the same file: what each says of parts, bars, struck heads and pitches.

A ``Digest`` holds one ``Witnessed`` a staff group (part). A head is ``(measure
position, written MIDI pitch)``; only heads that begin to sound count: no rests,
grace notes, cue notes, tied continuations. Unpitched heads have pitch 0.
"""

import pickle
import re
import subprocess
import sys
import warnings
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

from planner.core.score import Score


@dataclass(frozen=True)
class Witnessed:
    """One part as one reader sees it; ``heads`` are sorted."""

    measures: int
    heads: tuple[tuple[int, float], ...]


Digest = tuple[Witnessed, ...]


def our_digest(score: Score) -> Digest:
    """What our own reading says."""
    return tuple(
        Witnessed(
            len(score.measures),
            tuple(
                sorted(
                    (n.measure, float(n.pitch.midi) if n.pitch else 0.0) for n in part.notes if n.is_struck
                )
            ),
        )
        for part in score.parts
    )


def music21_digest(path: Path) -> Digest:
    """What music21 reads; staves of one keyboard part are put together again."""
    from music21 import converter

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        stream = converter.parse(path, forceSource=True)
    return digest_of_stream(stream)


def digest_of_stream(stream) -> Digest:
    """The same of a music21 score already parsed."""
    groups: dict[str, list] = {}
    for index, part in enumerate(stream.parts):
        name = re.sub(r"-Staff\d+$", "", str(part.id)) if "PartStaff" in part.classes else f"{index}"
        groups.setdefault(name, []).append(part)
    found = []
    for parts in groups.values():
        heads = []
        count = 0
        for part in parts:
            measures = list(part.getElementsByClass("Measure"))
            count = max(count, len(measures))
            for at, measure in enumerate(measures):
                for item in measure.recurse().notes:
                    if "ChordSymbol" in item.classes or "NoChord" in item.classes:
                        continue
                    if item.duration.isGrace or item.style.noteSize == "cue":
                        continue
                    if item.style.hideObjectOnPrint:
                        continue
                    members = item.notes if item.isChord or "PercussionChord" in item.classes else (item,)
                    for note in members:
                        tie = note.tie
                        if tie is not None and tie.type in ("stop", "continue"):
                            continue
                        heads.append((at, float(note.pitch.ps) if hasattr(note, "pitch") else 0.0))
        found.append(Witnessed(count, tuple(sorted(heads))))
    return tuple(found)


def partitura_digest(path: Path) -> Digest:
    """What partitura reads."""
    import partitura
    from partitura.score import GraceNote, Measure, UnpitchedNote

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = partitura.load_score(str(path))
    found = []
    for part in score.parts:
        measures = sorted(part.iter_all(Measure), key=lambda m: m.start.t)
        starts = [m.start.t for m in measures]
        heads = []
        for note in part.notes:
            if isinstance(note, GraceNote) or note.tie_prev is not None:
                continue
            at = _last_at(starts, note.start.t)
            heads.append((at, 0.0 if isinstance(note, UnpitchedNote) else float(note.midi_pitch)))
        # In kern the stretch after the final double bar line is no bar.
        empty_end = path.suffix == ".krn" and not any(at == len(measures) - 1 for at, _ in heads)
        found.append(Witnessed(len(measures) - empty_end, tuple(sorted(heads))))
    return tuple(found)


def _last_at(starts: list[int], time: int) -> int:
    from bisect import bisect_right

    return max(0, bisect_right(starts, time) - 1)


_STEPS = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11}
_ACCID = {
    "s": 1, "f": -1, "n": 0, "ss": 2, "x": 2, "ff": -2, "ts": 3, "tf": -3, "xs": 3, "sx": 3,
    "nf": -1, "ns": 1,
}  # fmt: skip
_MEI = "{http://www.music-encoding.org/ns/mei}"
_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"


def verovio_digest_here(path: Path) -> Digest:
    """What verovio reads, taken from the MEI it makes of the file, staves as parts.

    Source: MEI 5, ``note@pname``, ``@oct`` (sounding written pitch without octave lines is ``@oct.ges``),
    ``tie@endid``.
    """
    import verovio
    from lxml import etree

    verovio.enableLog(verovio.LOG_OFF)
    toolkit = verovio.toolkit()
    toolkit.setOptions({"breaks": "none"})
    if not toolkit.loadFile(str(path)):
        raise ValueError(f"verovio does not load {path.name}")
    # Its MEI of kern can repeat an identity, which a strict parser refuses.
    root = etree.fromstring(
        toolkit.getMEI({"removeIds": False}).encode("utf-8"), etree.XMLParser(recover=True)
    )
    stops = {t.get("endid", "")[1:] for t in root.iter(f"{_MEI}tie")}
    found: dict[str, list[tuple[int, float]]] = {}
    measures = list(root.iter(f"{_MEI}measure"))
    for definition in root.iter(f"{_MEI}staffDef"):
        found.setdefault(definition.get("n", ""), [])
    for at, measure in enumerate(measures):
        for staff in measure.iter(f"{_MEI}staff"):
            heads = found.setdefault(staff.get("n", ""), [])
            for note in staff.iter(f"{_MEI}note"):
                if _is_struck(note, stops):
                    heads.append((at, _mei_pitch(note)))
    return tuple(
        Witnessed(len(measures), tuple(sorted(heads)))
        for _, heads in sorted(found.items(), key=lambda item: int(item[0] or 0))
    )


def _is_struck(note, stops: set[str]) -> bool:
    if note.get(_XML_ID) in stops or note.get("tie", "")[:1] in ("m", "t"):
        return False
    chain = [note, *note.iterancestors(f"{_MEI}chord", f"{_MEI}graceGrp")]
    return not any(
        e.get("grace") or e.get("cue") == "true" or e.tag == f"{_MEI}graceGrp" or e.get("visible") == "false"
        for e in chain
    )


def _mei_pitch(note) -> float:
    step = note.get("pname") or ""
    if step not in _STEPS:
        return 0.0
    octave = int(note.get("oct.ges") or note.get("oct") or 4)
    accid = note.get("accid.ges") or note.get("accid") or ""
    child = note.find(f"{_MEI}accid")
    if child is not None:
        accid = child.get("accid.ges") or child.get("accid") or accid
    return float(12 * (octave + 1) + _STEPS[step] + _ACCID.get(accid, 0))


def counts(digest: Digest) -> tuple[int, int, int]:
    """Parts, bars of the longest, struck heads."""
    return len(digest), max((p.measures for p in digest), default=0), sum(len(p.heads) for p in digest)


def pitches(digest: Digest) -> Counter[float]:
    """How often each pitch is struck, all parts together."""
    return Counter(pitch for part in digest for _, pitch in part.heads)


def differences(ours: Digest, theirs: Digest, *, by_staff: bool = False) -> list[str]:
    """What the two disagree on, in words; empty when they agree on all four counts."""
    found = []
    names = ("parts", "bars", "struck heads")
    for name, mine, other in zip(names, counts(ours), counts(theirs), strict=True):
        if mine != other and not (by_staff and name == "parts"):
            found.append(f"{name} {mine} against {other}")
    if pitches(ours) != pitches(theirs):
        found.append(f"pitches {sum((pitches(ours) - pitches(theirs)).values())} differ")
    elif not by_staff and len(ours) == len(theirs):
        odd = [i for i, (a, b) in enumerate(zip(ours, theirs, strict=True)) if a.heads != b.heads]
        if odd:
            found.append(f"places differ in parts {odd}")
    return found


def verovio_digest(path: Path) -> Digest:
    """The same in a process of its own, because verovio ends the process on some files.

    Raises:
        ValueError: If verovio gave up on the file.
    """
    code = (
        "import pickle, sys; from pathlib import Path; from tests.adapters.scores import witnesses as w; "
        "sys.stdout.buffer.write(pickle.dumps(w.verovio_digest_here(Path(sys.argv[1]))))"
    )
    root = Path(__file__).resolve().parents[3]
    run = subprocess.run([sys.executable, "-c", code, str(path)], cwd=root, capture_output=True, timeout=3600)
    if run.returncode != 0:
        raise ValueError(f"verovio gave up on {path.name}")
    return pickle.loads(run.stdout)


def abc_heads(path: Path) -> tuple[int, ...]:
    """Struck heads of each tune of an ABC book, counted from its text.

    Source: ABC notation standard 2.1, section 4 (the tune body): note letters, less
    those tied from the same note before; fields, texts, decorations, chord names and
    grace notes set aside.
    """
    text = path.read_text(encoding="utf-8", errors="replace").replace("\r", "")
    starts = [m.start() for m in re.finditer(r"(?m)^X:", text)]
    return tuple(
        _tune_heads(text[start:stop]) for start, stop in zip(starts, [*starts[1:], len(text)], strict=True)
    )


def _tune_heads(tune: str) -> int:
    body = tune[re.search(r"(?m)^K:.*$", tune).end() :]
    lines = [line.split("%")[0] for line in body.split("\n") if not re.match(r"[A-Za-z]:", line)]
    music = re.sub(r"\"[^\"]*\"|![^!\s|]*!|\+[^+\n]*\+|\{[^}]*\}|\[[A-Za-z]:[^\]]*\]", "", "\n".join(lines))
    struck = 0
    held = None
    for sign, note, tie in re.findall(r"([_=^]*)([A-Ga-g][,']*)[\d/]*\s*[<>]*(-?)", music):
        struck += not (held and held == note)
        held = note if tie else None
        del sign
    return struck
