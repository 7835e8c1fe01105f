"""A child that opens Look back on years of day records and prints how long everything took, in seconds.

argv: data folder, then "opens" where only the opening is wanted.
"""

import json
import sys
import time
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pacer.qt.look_back.page import LookBackPage


OPENINGS = 5


def main(folder: Path, everything: bool) -> None:
    """Open the page some times; if everything is wanted, show every picture and draw each once more."""
    from PySide6.QtWidgets import QApplication

    application = QApplication(sys.argv[:1])
    from tests.qt.style_factories import dress

    dress(application)
    from pacer.frames.pictures import QUESTIONS
    from pacer.log.day_records import DayRecords
    from pacer.qt.look_back import pictures_view  # noqa: F401 - the first import is not what is measured
    from pacer.qt.look_back.page import LookBackPage
    from pacer.run.clock import SystemClock
    from pacer.settings.folders import folders

    def timed(do: Callable[[], object]) -> float:
        begin = time.perf_counter()
        do()
        application.processEvents()
        return time.perf_counter() - begin

    with DayRecords.open(folder) as records:
        made: list[LookBackPage] = []

        def open_page() -> None:
            page = LookBackPage(records, folders(folder), SystemClock(), dict, lambda: None, ("demo",))
            page.resize(1366, 700)
            page.show()
            page.choose(QUESTIONS[0])
            made.append(page)

        opened, more = [], {}
        for take in range(OPENINGS):
            opened.append(timed(open_page))
            page = made.pop()
            if take == 0 and everything:
                more = measured_views(page, timed)
            page.close()
            page.deleteLater()
        lessons = len(records.runs())
    print(json.dumps({"open": min(opened), "lessons": lessons, **more}))


def measured_views(page: "LookBackPage", timed: Callable[[Callable[[], object]], float]) -> dict[str, object]:
    """Every picture shown for the first time, and drawn again at its best of three; a lesson shown."""
    from pacer.frames.pictures import QUESTIONS
    from pacer.qt.look_back.page import SPANS

    shown = {view: timed(partial(page.choose, view)) for view in (*QUESTIONS[1:], *SPANS)}
    redrawn = {}
    for view in (*QUESTIONS, *SPANS):
        page.choose(view)
        redrawn[view] = min(timed(page.pictures._draw) for _take in range(3))
    return {"shown": shown, "redrawn": redrawn, "lesson": timed(partial(page.choose, "lesson"))}


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2:] != ["opens"])
