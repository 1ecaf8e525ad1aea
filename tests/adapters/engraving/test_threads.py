"""The pages are served from several threads, and any of them may be the first to engrave."""

import threading

from planner.config import packaged
from tests.drawing import Draughtsman


def test_a_thread_that_did_not_import_the_engraver_can_draw():
    drawn = []

    def draw():
        path = packaged("sample_library") / "windmill.mxl"
        drawn.append(Draughtsman().draw(path, part=0, measure=0, end_measure=3, width_mm=170))

    thread = threading.Thread(target=draw)
    thread.start()
    thread.join()
    assert drawn
    assert "<svg" in drawn[0]
