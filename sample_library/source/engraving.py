"""What the page needs beyond the notes: printed accidentals, beams, tuplet brackets."""

from fractions import Fraction

from .lines import Bar
from .tones import Meter, Tone, key_alter

NAMES = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}


def accidentals(bar: Bar, written: list[Tone | None], fifths: int, ties: set[int],
                past: dict[int, int]) -> tuple[list[tuple[str, bool] | None], dict[int, int]]:  # fmt: skip
    """Printed accidental of each note (name, is courtesy), and the bar's altered staff places.

    A note tied over the bar line prints none. Where the bar before altered a staff
    place, the return to the signature gets a courtesy sign in brackets.
    """
    state: dict[int, int] = {}
    altered: dict[int, int] = {}
    signs: list[tuple[str, bool] | None] = []
    for at, (event, tone) in enumerate(zip(bar, written, strict=True)):
        if tone is None:
            signs.append(None)
            continue
        plain = key_alter(tone.letter, fifths)
        if at == 0 and event.tone is not None and event.tone.midi in ties:
            signs.append(None)
            continue
        if tone.alter != state.get(tone.step, plain):
            signs.append((NAMES[tone.alter], False))
        elif tone.step not in state and past.get(tone.step, plain) != plain:
            signs.append((NAMES[tone.alter], True))
        else:
            signs.append(None)
        state[tone.step] = tone.alter
        if tone.alter != plain:
            altered[tone.step] = tone.alter
    return signs, altered


def _groups(bar: Bar, meter: Meter, length: Fraction) -> list[int]:
    """Number of the beam group each event starts in; a pickup is counted from the bar's end."""
    ends, total = [], Fraction(0)
    for group in meter.groups:
        total += group
        ends.append(total)
    if meter.text in ("4/4", "C"):
        ends = _joined_halves(bar, length)
    onset, found = meter.length - length, []
    for event in bar:
        found.append(next((i for i, end in enumerate(ends) if onset < end), len(ends)))
        onset += event.length
    return found


def _joined_halves(bar: Bar, length: Fraction) -> list[Fraction]:
    """Ends of the groups in 4/4: four plain eighths share a beam, other beats stand alone."""
    onset = 4 - length
    in_half: list[list[bool]] = [[], []]
    for event in bar:
        in_half[onset >= 2].append(
            event.value == 8 and not event.dots and not event.is_rest and not event.is_triplet
        )
        onset += event.length
    ends = []
    for half in range(2):
        joined = len(in_half[half]) == 4 and all(in_half[half])
        ends += [Fraction(2 * half + 2)] if joined else [Fraction(2 * half + 1), Fraction(2 * half + 2)]
    return ends


def beams(bar: Bar, meter: Meter, length: Fraction) -> list[list[str]]:
    """Beam states of each event, level by level."""
    states: list[list[str]] = [[] for _ in bar]
    groups = _groups(bar, meter, length)
    run: list[int] = []
    for at in range(len(bar) + 1):
        fits = at < len(bar) and bar[at].value >= 8 and not bar[at].is_rest
        if run and (not fits or groups[at] != groups[run[0]]):
            _beam_run(bar, run, states)
            run = []
        if fits:
            run.append(at)
    return states


def _beam_run(bar: Bar, run: list[int], states: list[list[str]]) -> None:
    if len(run) < 2:
        return
    for at in run:
        states[at].append("begin" if at == run[0] else "end" if at == run[-1] else "continue")
    for place, at in enumerate(run):
        if bar[at].value < 16:
            continue
        before = place > 0 and bar[run[place - 1]].value >= 16
        after = place + 1 < len(run) and bar[run[place + 1]].value >= 16
        alone = "forward hook" if place == 0 else "backward hook"
        states[at].append({(0, 1): "begin", (1, 1): "continue", (1, 0): "end"}.get((before, after), alone))


def tuplets(bar: Bar) -> list[str]:
    """``start`` and ``stop`` of triplet brackets."""
    marks, filled, size = [], Fraction(0), Fraction(0)
    for event in bar:
        if not event.is_triplet:
            marks.append("")
            continue
        size = size if filled else Fraction(8, event.value)
        mark = "" if filled else "start"
        filled += event.length
        if filled == size:
            mark, filled = "stop", Fraction(0)
        marks.append(mark)
    return marks
