"""Empty bars in a row as one multiple rest, the way a printed part shows them."""

from lxml import etree

_MEI = "{http://www.music-encoding.org/ns/mei}"
_ID = "{http://www.w3.org/XML/1998/namespace}id"


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
        follows = bool(run) and measure.getprevious() is run[-1] and not run[-1].get("right")
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
    return whole and bool(layers) and all([e.tag for e in layer] == [f"{_MEI}mRest"] for layer in layers)


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
    for measure in run[1:]:
        home = measure.getparent()
        if home is not None:
            home.remove(measure)
    return True
