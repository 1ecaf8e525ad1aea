"""Empty bars in a row as one multiple rest, the way a printed part shows them."""

from lxml import etree

_MEI = "{http://www.music-encoding.org/ns/mei}"
_SIGNS = {f"{_MEI}{name}" for name in ("clef", "keySig", "meterSig")}


def gather_rests(mei: str) -> str:
    """The music, in MEI, with every run of two and more empty measures as one multiple rest.

    Only the first measure of a run may carry a direction, and only the last a sign on
    its right bar line: those are the landmarks a player counts by.
    """
    root = etree.fromstring(mei.encode("utf-8"))
    measures = list(root.iter(f"{_MEI}measure"))
    spanned = _spanned(measures)
    changed = False
    run: list[etree._Element] = []
    for at, measure in enumerate(measures):
        follows = bool(run) and measure.getprevious() is run[-1] and not _closes(run[-1])
        if run and follows and at not in spanned and _is_empty(measure) and not _carries(measure):
            run.append(measure)
            continue
        changed |= _gather(run)
        run = [measure] if _is_empty(measure) else []
    changed |= _gather(run)
    return etree.tostring(root, encoding="unicode") if changed else mei


def _spanned(measures: list[etree._Element]) -> set[int]:
    """Measures that some line counts its length by (``3m+1``): they must all stay."""
    spanned: set[int] = set()
    for at, measure in enumerate(measures):
        for element in measure:
            bars, _, _ = element.get("tstamp2", "").partition("m+")
            if bars.isdigit():
                spanned.update(range(at, at + int(bars) + 1))
    return spanned


def _is_empty(measure: etree._Element) -> bool:
    layers = measure.findall(f"{_MEI}staff/{_MEI}layer")
    whole = measure.get("metcon") != "false"
    return whole and bool(layers) and all(_rests(layer) for layer in layers)


def _rests(layer: etree._Element) -> bool:
    """Nothing but a whole-bar rest, and perhaps a sign for the next bar behind it."""
    tags = [element.tag for element in layer]
    return tags[:1] == [f"{_MEI}mRest"] and all(tag in _SIGNS for tag in tags[1:])


def _closes(measure: etree._Element) -> bool:
    """Whether a sign stands at its end, so that a rest cannot go on beyond it."""
    return bool(measure.get("right")) or any(e.tag in _SIGNS for e in measure.iterfind(f"{_MEI}staff/*/*"))


def _carries(measure: etree._Element) -> bool:
    return bool(measure.get("left")) or any(element.tag != f"{_MEI}staff" for element in measure)


def _gather(run: list[etree._Element]) -> bool:
    if len(run) < 2:
        return False
    first, last = run[0], run[-1]
    for rest in list(first.iter(f"{_MEI}mRest")):
        rest.tag = f"{_MEI}multiRest"
        rest.set("num", str(len(run)))
    if last.get("right"):
        first.set("right", last.get("right", ""))
    layers = (measure.iterfind(f"{_MEI}staff/{_MEI}layer") for measure in (first, last))
    for mine, its in zip(*layers, strict=False):
        mine.extend([element for element in its if element.tag in _SIGNS])
    for measure in run[1:]:
        parent = measure.getparent()
        if parent is not None:
            parent.remove(measure)
    return True
