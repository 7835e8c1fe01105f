"""A page that types a line every 50 ms and says so, to be killed at any moment. Argument: a folder."""

import sys
import time
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from pacer.qt.kit.style import dress
from pacer.qt.outline.page import OutlinePage
from pacer.run.clock import SystemClock
from pacer.settings.draft_store import DraftStore


def main(folder: Path) -> None:
    application = QApplication(sys.argv[:1])
    dress(application)
    clock = SystemClock()
    store = DraftStore(folder / "data", clock, folder / "data" / "other")
    page = OutlinePage(store, folder / "outlines", clock)
    page.open_new()
    page.show()
    typed = []

    def line() -> None:
        title = f"Part {chr(65 + len(typed) // 26)}{chr(65 + len(typed) % 26)}"
        typed.append(title)
        page.pane.editor.insertPlainText(f"{title} 1\n")
        print(title, time.monotonic(), flush=True)

    timer = QTimer()
    timer.timeout.connect(line)
    timer.start(50)
    application.exec()


main(Path(sys.argv[1]))
