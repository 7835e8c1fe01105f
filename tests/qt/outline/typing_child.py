"""A page that types a line every 50 ms and says what is typed and kept; to be killed. Argument: a folder."""

import sys
from pathlib import Path

from PySide6.QtCore import QTimer
from PySide6.QtWidgets import QApplication

from pacer.qt.outline.page import OutlinePage
from pacer.run.clock import SystemClock
from pacer.settings.draft_store import DraftStore
from tests.qt.style_factories import dress


class Telling(DraftStore):
    """Says how many lines are kept."""

    def journal(self, path: Path, text: str, stamp: str) -> str:
        words = super().journal(path, text, stamp)
        print("kept", text.count('"Part ') if not words else 0, flush=True)
        return words


def main(folder: Path) -> None:
    application = QApplication(sys.argv[:1])
    dress(application)
    clock = SystemClock()
    store = Telling(folder / "data", clock, folder / "data" / "other")
    page = OutlinePage(store, folder / "outlines", clock)
    page.open_new()
    page.show()
    typed = []

    def line() -> None:
        title = f"Part {chr(65 + len(typed) // 26)}{chr(65 + len(typed) % 26)}"
        typed.append(title)
        page.pane.editor.insertPlainText(f"{title} 1\n")
        print("typed", title, flush=True)

    timer = QTimer()
    timer.timeout.connect(line)
    timer.start(50)
    application.exec()


main(Path(sys.argv[1]))
