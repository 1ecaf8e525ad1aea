"""Writes a setting as MusicXML 4.0 (rules: the W3C's MusicXML 4.0 schema)."""

import io
import xml.etree.ElementTree as ET
import zipfile
from fractions import Fraction

from .band import PLAYERS, Player
from .elements import DIVISIONS, direction, sub
from .engraving import accidentals, beams
from .notes import DRUMS, write_drum_bar, write_voice
from .setting import Jump, Setting, Tempo
from .tones import Tone

UNITS = {"half": Fraction(2), "quarter": Fraction(1), "eighth": Fraction(1, 2), "quarter.": Fraction(3, 2)}
DOCTYPE = (
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">'
)
CONTAINER = (
    '<?xml version="1.0" encoding="UTF-8"?>\n<container><rootfiles>'
    '<rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>'
    "</rootfiles></container>\n"
)
RIGHTS = "Setting: CC0 1.0, no rights reserved."


def pack(setting: Setting) -> bytes:
    """The setting as the bytes of an .mxl file; the same setting gives the same bytes."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, text, kind in (
            ("mimetype", "application/vnd.recordare.musicxml", zipfile.ZIP_STORED),
            ("META-INF/container.xml", CONTAINER, zipfile.ZIP_DEFLATED),
            ("score.musicxml", write(setting), zipfile.ZIP_DEFLATED),
        ):
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.compress_type, entry.create_system, entry.external_attr = kind, 3, 0o644 << 16
            archive.writestr(entry, text.encode("utf-8"), compresslevel=9)
    return out.getvalue()


def write(setting: Setting) -> str:
    """The setting as MusicXML text."""
    root = ET.Element("score-partwise", version="4.0")
    sub(sub(root, "work"), "work-title", setting.title)
    sub(root, "movement-title", setting.title)
    identification = sub(root, "identification")
    if setting.composer:
        sub(identification, "creator", setting.composer, type="composer")
    sub(identification, "rights", RIGHTS)
    sub(sub(identification, "encoding"), "software", "sample_library.source")
    sub(identification, "source", setting.source)
    _part_list(sub(root, "part-list"), setting)
    for at, player in enumerate(PLAYERS):
        part = sub(root, "part", id=f"P{at + 1}")
        _part(part, setting, player, is_top=at == 0)
    ET.indent(root, " ")
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{DOCTYPE}\n{ET.tostring(root, encoding="unicode")}\n'


def _part_list(parent: ET.Element, setting: Setting) -> None:
    group = ""
    for at, player in enumerate(PLAYERS):
        number = ("", "woodwind", "brass", "percussion").index(player.group)
        if player.group != group:
            if group:
                sub(parent, "part-group", type="stop", number=number - 1)
            start = sub(parent, "part-group", type="start", number=number)
            sub(start, "group-symbol", "bracket")
            sub(start, "group-barline", "yes")
            group = player.group
        xylophone = player.code == "ml" and setting.mallets == "Xylophone"
        score_part = sub(parent, "score-part", id=f"P{at + 1}")
        sub(score_part, "part-name", "Mallets (Xylophone)" if xylophone else player.name)
        sub(score_part, "part-abbreviation", player.abbreviation)
        if player.code == "dr":
            _drum_kit(score_part, at, setting)
            continue
        instrument = sub(score_part, "score-instrument", id=f"P{at + 1}-I1")
        sub(instrument, "instrument-name", setting.mallets if player.code == "ml" else player.name)
        sub(instrument, "instrument-sound", "pitched-percussion.xylophone" if xylophone else player.sound)
        midi = sub(score_part, "midi-instrument", id=f"P{at + 1}-I1")
        sub(midi, "midi-channel", at + 1 if at < 9 else at % 9 + 1)
        sub(midi, "midi-program", 14 if xylophone else player.program)
    sub(parent, "part-group", type="stop", number=3)


def _drum_kit(score_part: ET.Element, at: int, setting: Setting) -> None:
    used = {e.drum for bar in [*setting.parts["dr"], *setting.bass_drum] for e in bar} | {"s", "b"}
    kit = [(f"P{at + 1}-{row[0]}", row) for drum, row in DRUMS.items() if drum in used]
    for identity, (_, name, sound, _, _) in kit:
        instrument = sub(score_part, "score-instrument", id=identity)
        sub(instrument, "instrument-name", name)
        sub(instrument, "instrument-sound", sound)
    for identity, row in kit:
        midi = sub(score_part, "midi-instrument", id=identity)
        sub(midi, "midi-channel", 10)
        sub(midi, "midi-program", 1)
        sub(midi, "midi-unpitched", row[3])


def _part(part: ET.Element, setting: Setting, player: Player, *, is_top: bool) -> None:
    ties: set[int] = set()
    past: dict[int, int] = {}
    slurs: list[int] = []
    for at, meter in enumerate(setting.meters):
        number = at if setting.pickup else at + 1
        measure = sub(
            part, "measure", number=number, **({"implicit": "yes"} if setting.pickup and at == 0 else {})
        )
        _barline(measure, setting, at, "left")
        _attributes(measure, setting, player, at)
        marks = [d for d in setting.directions[player.code] if d.bar == at]
        if is_top:
            _top_before(measure, setting, at)
            marks = [d for d in setting.words if d.bar == at] + marks
        bar = setting.parts[player.code][at]
        if player.code == "dr":
            write_drum_bar(measure, setting, at, bar, marks)
        else:
            written = [e.tone and player.written(e.tone) for e in bar]
            shift = 0 if player.clef == "percussion" else player.key_shift
            signs, past = accidentals(bar, written, setting.keys[at].fifths + shift, ties, past)
            states = beams(bar, meter, setting.lengths[at])
            write_voice(measure, bar, marks, [
                (_pitch(tone), sign, state)
                for tone, sign, state in zip(written, signs, states, strict=True)
            ], ties, slurs)  # fmt: skip
        if is_top:
            _top_after(measure, setting, at)
        _barline(measure, setting, at, "right")


def _pitch(tone: Tone | None) -> ET.Element | None:
    if tone is None:
        return None
    pitch = ET.Element("pitch")
    sub(pitch, "step", tone.letter)
    if tone.alter:
        sub(pitch, "alter", tone.alter)
    sub(pitch, "octave", tone.octave)
    return pitch


def _attributes(measure: ET.Element, setting: Setting, player: Player, at: int) -> None:
    new_key = at == 0 or setting.keys[at] != setting.keys[at - 1]
    new_meter = (
        at == 0 or setting.meters[at].text.partition(":")[0] != setting.meters[at - 1].text.partition(":")[0]
    )
    if not new_key and not new_meter:
        return
    attributes = sub(measure, "attributes")
    if at == 0:
        sub(attributes, "divisions", DIVISIONS)
    if new_key:
        key = sub(attributes, "key")
        drum = player.clef == "percussion"
        sub(key, "fifths", 0 if drum else setting.keys[at].fifths + player.key_shift)
        if not drum:
            sub(key, "mode", "minor" if setting.keys[at].is_minor else "major")
    if new_meter:
        meter = setting.meters[at]
        time = sub(attributes, "time", **({"symbol": meter.symbol} if meter.symbol else {}))
        sub(time, "beats", meter.beats)
        sub(time, "beat-type", meter.unit)
    if at == 0:
        _clef(attributes, setting, player)


def _clef(attributes: ET.Element, setting: Setting, player: Player) -> None:
    clef = sub(attributes, "clef")
    sub(clef, "sign", "percussion" if player.clef == "percussion" else player.clef[0])
    if player.clef != "percussion":
        sub(clef, "line", player.clef[1])
    octaves = 1 if player.code == "ml" and setting.mallets == "Xylophone" else player.octaves
    if player.semitones or octaves:
        transpose = sub(attributes, "transpose")
        sub(transpose, "diatonic", player.steps)
        sub(transpose, "chromatic", player.semitones)
        if octaves:
            sub(transpose, "octave-change", octaves)


def _top_before(measure: ET.Element, setting: Setting, at: int) -> None:
    for tempo in setting.tempos:
        if tempo.bar == at:
            _tempo(measure, tempo)
    if at in setting.rehearsals:
        _, kind = direction(measure, "above")
        sub(kind, "rehearsal", setting.rehearsals[at], enclosure="square", font_weight="bold")
    for jump in setting.jumps:
        if jump.bar == at and jump.kind in ("segno", "coda"):
            element, kind = direction(measure, "above")
            sub(kind, jump.kind)
            sub(element, "sound", **{jump.kind: jump.kind})


def _tempo(measure: ET.Element, tempo: Tempo) -> None:
    element, kind = direction(measure, "above")
    sub(kind, "words", tempo.words, font_weight="bold")
    metronome = sub(sub(element, "direction-type"), "metronome", parentheses="no")
    sub(metronome, "beat-unit", tempo.unit.rstrip("."))
    if tempo.unit.endswith("."):
        sub(metronome, "beat-unit-dot")
    sub(metronome, "per-minute", tempo.bpm)
    quarter = tempo.bpm * UNITS[tempo.unit]
    sub(element, "sound", tempo=int(quarter) if quarter.denominator == 1 else float(quarter))


def _top_after(measure: ET.Element, setting: Setting, at: int) -> None:
    said = {
        "to-coda": ("To Coda", {"tocoda": "coda"}),
        "fine": ("Fine", {"fine": "yes"}),
        "dc-fine": ("D.C. al Fine", {"dacapo": "yes"}),
        "dc-coda": ("D.C. al Coda", {"dacapo": "yes"}),
        "ds-coda": ("D.S. al Coda", {"dalsegno": "segno"}),
        "ds-fine": ("D.S. al Fine", {"dalsegno": "segno"}),
    }
    for jump in setting.jumps:
        if jump.bar == at and jump.kind in said:
            words, sound = said[jump.kind]
            element, kind = direction(measure, "above")
            sub(kind, "words", words, font_style="italic", justify="right")
            sub(element, "offset", -int(setting.parts[PLAYERS[0].code][at][-1].length * DIVISIONS))
            sub(element, "sound", **sound)


def _barline(measure: ET.Element, setting: Setting, at: int, side: str) -> None:
    here: list[Jump] = [j for j in setting.jumps if j.bar == at]
    kinds = {j.kind for j in here}
    last = at == len(setting.meters) - 1
    if side == "left":
        endings = [j for j in here if j.kind == "ending-start"]
        if "repeat-start" in kinds or endings:
            barline = sub(measure, "barline", location="left")
            if "repeat-start" in kinds:
                sub(barline, "bar-style", "heavy-light")
            for jump in endings:
                sub(barline, "ending", f"{jump.number}.", number=jump.number, type="start")
            if "repeat-start" in kinds:
                sub(barline, "repeat", direction="forward")
        return
    endings = [j for j in here if j.kind in ("ending-stop", "ending-open")]
    double = kinds & {"double", "fine", "to-coda", "ds-coda", "ds-fine", "dc-fine", "dc-coda"}
    if not (endings or double or last or "repeat-end" in kinds):
        return
    barline = sub(measure, "barline", location="right")
    heavy = last or "repeat-end" in kinds
    if heavy or double:
        sub(barline, "bar-style", "light-heavy" if heavy else "light-light")
    for jump in endings:
        kind = "stop" if jump.kind == "ending-stop" else "discontinue"
        sub(barline, "ending", number=jump.number, type=kind)
    if "repeat-end" in kinds:
        sub(barline, "repeat", direction="backward")
