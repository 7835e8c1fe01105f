"""What the Outline page costs while typing and on opening: delays, and ratios in one run.

Offscreen, each press from the key to the painted fit bar. Medians and the best of several takes count, since
the machine may be doing something else as well.
"""

import os
import random
import time
from collections.abc import Iterator
from pathlib import Path
from statistics import median

import pytest

from tests.benchmarks.side_by_side import slower

PHASES, ENDINGS = 30, 6_000
TYPED_MS, OPENED_MS = 30, 100


@pytest.fixture(scope="module")
def application() -> object:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    widgets = pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
    from tests.qt.style_factories import dress

    made = widgets.QApplication.instance() or widgets.QApplication([])
    dress(made)
    return made


def history(count: int) -> list[object]:
    """Endings of invented lessons of 30 phases; a tenth was cut off."""
    from pacer.pace.forecasts.past import PastEnding

    chance = random.Random(5)
    return [
        PastEnding(
            n // PHASES, f"day {n // PHASES}", f"part-{n % PHASES}", "other", 60.0,
            max(1, round(60 * chance.lognormvariate(0.05, 0.25))),
            "interrupted" if chance.random() < 0.1 else "done",
        )
        for n in range(count)
    ]  # fmt: skip


class Evening:
    """Pages over one folder."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.pages: list[object] = []
        self.windows: list[object] = []

    def page(self, endings: int) -> object:
        from PySide6.QtWidgets import QVBoxLayout, QWidget

        from pacer.qt.outline.page import OutlinePage
        from pacer.review.learning.budgets import SortedPast
        from pacer.run.clock import SystemClock
        from pacer.settings.draft_store import DraftStore

        store = DraftStore(self.folder / "data", SystemClock(), self.folder / "elsewhere")
        past = SortedPast(history(endings)) if endings else None
        page = OutlinePage(store, self.folder / "outlines", SystemClock(), past)
        # Within a window of a least size, as in the program.
        window = QWidget()
        window.setMinimumSize(1366, 690)
        QVBoxLayout(window).addWidget(page)
        window.show()
        self.windows.append(window)
        page.open_new([f"Part {n} 1" for n in range(PHASES)])
        page.head.edited.emit("title", "Invented")
        self.pages.append(page)
        return page


@pytest.fixture
def evening(application, tmp_path: Path) -> Iterator[Evening]:
    made = Evening(tmp_path)
    yield made
    for page in made.pages:
        page.shut()
    for window in made.windows:
        window.close()
        window.deleteLater()
    application.processEvents()


def typing_ms(application, page, words: str = "Sort the cards 4 then say why and show it") -> list[float]:
    """Each press of a sign in the text pane, until the page with its fit bar is painted."""
    from PySide6.QtTest import QTest

    editor = page.pane.editor
    editor.setFocus()
    editor.moveCursor(editor.textCursor().MoveOperation.End)
    application.processEvents()
    took = []
    for sign in words:
        begin = time.thread_time()
        QTest.keyClicks(editor, sign)
        page.repaint()
        application.processEvents()
        took.append((time.thread_time() - begin) * 1000)
    return took


def test_a_typed_sign_is_in_the_fit_bar_within_thirty_milliseconds(application, evening: Evening) -> None:
    """With 30 phases and 6,000 past endings; the slowest tenth and the slowest are reported."""
    page = evening.page(ENDINGS)
    assert len(page.feedback.past) >= PHASES, "the past speaks for every phase"
    before = page.fit_bar.verdict.text()
    took = typing_ms(application, page)
    assert page.fit_bar.verdict.text() != before
    slow = sorted(took)[-len(took) // 10]
    print(f"typed: median {median(took):.1f} ms, slowest tenth {slow:.1f} ms, most {max(took):.1f} ms")
    assert median(took) <= TYPED_MS * slower()


def test_typing_costs_no_more_with_ten_times_the_history(application, evening: Evening) -> None:
    """From 600 to 6,000 endings; in fact it stays the same, since only the latest lessons are read."""
    few, many = evening.page(ENDINGS // 10), evening.page(ENDINGS)
    ratio = median(typing_ms(application, many)) / median(typing_ms(application, few))
    print(f"ten times the history: typing takes {ratio:.2f} times as long")
    assert ratio <= 2


def test_opening_an_outline_takes_a_tenth_of_a_second_at_most(application, evening: Evening) -> None:
    page = evening.page(ENDINGS)
    page.flush()
    path = page.editor.file.path
    took = []
    for _take in range(5):
        page.open_new()
        page.flush()
        begin = time.thread_time()
        assert page.open_path(path)
        page.repaint()
        application.processEvents()
        took.append((time.thread_time() - begin) * 1000)
    print(f"opened: best {min(took):.1f} ms, median {median(took):.1f} ms")
    assert median(took) <= OPENED_MS * slower()
