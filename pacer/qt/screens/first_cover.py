"""Covers the private window before its first frame, where nobody knows yet who will see it."""

from pacer.qt.screens.curtain import Curtain, curtain_words
from pacer.qt.screens.private_window import MainWindow
from pacer.run.room_plan import Situation, decide
from pacer.text import _


def cover_unseen(window: MainWindow) -> Curtain:
    """Draw the curtain in a window that is about to be shown; the room takes it over from there."""
    curtain = Curtain()
    window.add_curtain(curtain)
    _now, plan = decide(Situation(lifted=False, settled=False))
    assert plan.words is not None
    window.show_curtain(curtain_words(plan.words))
    curtain.offer(plan)
    return curtain


def say_not_made(window: MainWindow) -> None:
    """Say on the curtain that Pacer can't go on, and what helps; the reason is in the reports of faults."""
    window.show_curtain(
        _(
            "Pacer could not get ready for a lesson.\nClose this window and start Pacer again. "
            "If this comes back, install Pacer anew: outlines and day records stay."
        )
    )
