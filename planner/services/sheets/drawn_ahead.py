"""Drawing sheets while earlier ones are set: the engraver works in children, so both go on at once."""

import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager

from planner.errors import DrawingBusyError
from planner.services.sheets.views import GuideView

DRAWERS = 2
"""Sheets that are drawn at a time. House choice: as many as the engraver has children."""
ASK_AGAIN_S = 0.5
PATIENCE = 120
"""How often a sheet is asked for again while pages take all of the engraver: a minute. House choices."""


@contextmanager
def drawn_ahead(views: Sequence[Callable[[], GuideView]]) -> Iterator[Iterator[GuideView]]:
    """The sheets in their order, drawn side by side; those not begun yet are dropped when the block is left.

    Raises:
        DrawingBusyError: From the iterator, if the engraver stays busy with other things.
    """
    pool = ThreadPoolExecutor(DRAWERS, thread_name_prefix="drawing")
    try:
        yield pool.map(_patiently, views)
    finally:
        pool.shutdown(cancel_futures=True)


def _patiently(view: Callable[[], GuideView]) -> GuideView:
    for _ in range(PATIENCE):
        try:
            return view()
        except DrawingBusyError:
            time.sleep(ASK_AGAIN_S)
    return view()
