"""A child that opens Look back on years of day records and prints how long everything took, in seconds.

argv: data folder. The chart library is imported first, as at an earlier picture of the same session.
"""

import json
import sys
import time
from collections.abc import Callable
from pathlib import Path


def main(folder: Path) -> None:
    """Open the page, show every picture, and draw each once more."""
    from PySide6.QtWidgets import QApplication

    application = QApplication(sys.argv[:1])
    from pacer.qt.style import dress

    dress(application)
    import pyqtgraph  # noqa: F401 - the first import is not what is measured

    from pacer.frames.pictures import QUESTIONS
    from pacer.log.day_records import DayRecords
    from pacer.qt import pictures_view  # noqa: F401 - nor are our own modules
    from pacer.qt.look_back_page import SPANS, LookBackPage
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

        opened = [timed(open_page)]
        page = made[0]
        shown = {view: timed(lambda view=view: page.choose(view)) for view in (*QUESTIONS[1:], *SPANS)}
        redrawn = {}
        for view in (*QUESTIONS, *SPANS):
            page.choose(view)
            application.processEvents()
            redrawn[view] = min(timed(page.pictures._draw) for _take in range(3))
        lesson = timed(lambda: page.choose("lesson"))
        made.pop().close()
        opened.append(timed(open_page))
        lessons = len(records.runs())
    print(
        json.dumps(
            {"open": min(opened), "shown": shown, "redrawn": redrawn, "lesson": lesson, "lessons": lessons}
        )
    )


if __name__ == "__main__":
    main(Path(sys.argv[1]))
