"""From an empty folder to a lesson on the Wall: counts actions, estimates time, takes pictures on the way.

``python tests/pictures/first_walk.py FOLDER`` walks by keyboard and by mouse and prints a table; it ends with
exit code 1 where a target is missed. Times are estimates by the keystroke-level model of Card, Moran and
Newell (The keystroke-level model for user performance time with interactive systems, Communications of the
ACM 23(7), 1980); its operators' times stand here from memory. What the program itself takes is measured.
"""

import json
import os
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
# Seconds: a key by an average typist who is no typist by trade, pointing, a hand's way between keyboard and
# mouse, making up one's mind; a press of the mouse's button counts as a key.
KEY_S, POINT_S, HOME_S, THINK_S = 0.28, 1.10, 0.40, 1.35
LETTER_MS = 300  # a button that a letter presses is shown pressed for a tenth of a second, by a real timer
# An invented lesson as she would type it.
LINES = (
    "# Thirds on a number line",
    "Warm-up 2",
    "Review 3",
    "Model thirds 7",
    "Guided practice 6",
    "Close 2",
)
OWN, WALL = "own outline that fits", "lesson on the Wall"
CARD, COPIED = "early-release card printed", "last week copied"
TARGETS_S = {OWN: 60.0, WALL: 90.0}
TARGET_ACTIONS = {CARD: 4, COPIED: 3}
# When a walk at home begins, with one screen, and which outlines of her own are planned by then; the others
# begin in the room with nothing.
STARTS = {"early_release_card": "2026-03-08 20:30", "last_week": "2026-03-08 20:30"}
PLANNED = {
    "early_release_card": {"2026-03-09": ["thirds.toml"]},
    "last_week": {f"2026-03-0{day}": ["thirds.toml"] for day in (2, 3, 5)},
}
WAYS = ("keyboard", "mouse")


@dataclass
class Hand:
    """Does what a hand does, and notes each action: what, by what, and the model's seconds for it.

    An action is a key or a combination of keys, a click, or a line that is typed.
    """

    way: str
    camera: Any
    done: list[tuple[str, float]] = field(default_factory=list)
    waited_s: float = 0.0
    reached: dict[str, tuple[int, float, float]] = field(default_factory=dict)
    at_mouse: bool = False

    def _note(self, what: str, seconds: float, *, mouse: bool, think: bool) -> None:
        seconds += HOME_S * (mouse != self.at_mouse) + THINK_S * think
        self.at_mouse = mouse
        self.done.append((what, seconds))

    def key(self, keys: str, *, think: bool = True, opens: Callable[[], None] | None = None) -> None:
        """Press a key, or some at once (``Ctrl+1``), on what has the keyboard. ``opens``: what waits then."""
        from PySide6.QtGui import QKeySequence
        from PySide6.QtTest import QTest
        from PySide6.QtWidgets import QApplication

        self._note(keys, KEY_S * len(keys.split("+")), mouse=False, think=think)
        pressed = QKeySequence(keys)[0]
        target = QApplication.focusWidget() or QApplication.activeWindow()
        self._act(partial(QTest.keyClick, target, pressed.key(), pressed.keyboardModifiers()), opens)
        if keys.startswith("Alt+"):
            QTest.qWait(LETTER_MS)

    def type(self, line: str) -> None:
        """Type a line and end it."""
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest
        from PySide6.QtWidgets import QApplication

        self._note(f"“{line}”", KEY_S * (len(line) + 1), mouse=False, think=True)
        target = QApplication.focusWidget()

        def keys() -> None:
            QTest.keyClicks(target, line)
            QTest.keyClick(target, Qt.Key.Key_Return)

        self._act(keys)

    def click(self, words: str, *, opens: Callable[[], None] | None = None) -> None:
        """Point at a button and press it."""
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest
        from PySide6.QtWidgets import QAbstractButton

        from tests.pictures.hands import found

        self._note(f"click {words}", POINT_S + KEY_S, mouse=True, think=True)
        self._act(partial(QTest.mouseClick, found(words, QAbstractButton), Qt.MouseButton.LeftButton), opens)

    def choose(self, name: str, words: str) -> None:
        """Open a box by the mouse and press one of its rows."""
        from tests.pictures.hands import choose

        self._note(f"click {name}", POINT_S + KEY_S, mouse=True, think=True)
        self._note(f"click {words}", POINT_S + KEY_S, mouse=True, think=True)
        self._act(partial(choose, name, words))

    def answer_print(self) -> None:
        """The system's own dialog: Enter, or its button."""
        is_mouse = self.way == "mouse"
        self._note("Print, in the dialog", POINT_S + KEY_S if is_mouse else KEY_S, mouse=is_mouse, think=True)

    def _act(self, act: Callable[[], object], opens: Callable[[], None] | None = None) -> None:
        from tests.pictures import frozen
        from tests.pictures.hands import meanwhile

        begun = time.perf_counter()
        if opens is None:
            act()
        else:
            meanwhile(act, opens)
        frozen.settle()
        self.waited_s += time.perf_counter() - begun
        frozen.pass_ms(1500)

    def look(self, name: str, screen: int = 0) -> None:
        """Take a picture."""
        self.camera.take(f"walk-{self.way}-{len(self.done):02d}-{name}", screen)

    def reach(self, goal: str, *, if_so: bool) -> None:
        """Note what it took so far."""
        assert if_so, f"{goal} is not reached by {self.way}: {[what for what, _seconds in self.done]}"
        self.reached[goal] = len(self.done), sum(seconds for _what, seconds in self.done), self.waited_s


def first_lesson(hand: Hand, program: Any) -> None:
    """A folder in which nothing is: an own outline that fits, then the lesson on the Wall."""
    by_keys = hand.way == "keyboard"
    if program.window.curtain is not None and program.window.curtain.isVisible():
        hand.key("Return")  # the pages wait wherever the class may look
    hand.look("first-start")
    hand.key("2") if by_keys else hand.click("2 Write my own")
    hand.look("outline-empty")
    for line in LINES:
        hand.type(line)
    outline = program.pages.outline
    written = outline.look.outline
    hand.look("own-outline")
    hand.reach(OWN, if_so=written is not None and not outline.look.left_out and _fits(written))
    hand.key("Ctrl+1") if by_keys else hand.click("Today")
    hand.look("today")

    def answer() -> None:
        hand.look("which-screen")
        hand.key("2") if by_keys else hand.click("The class sees screen 2")

    if by_keys:
        if not program.today.start_button.hasFocus():
            hand.key("Alt+S", opens=answer)
        else:
            hand.key("Return", opens=answer)
    else:
        hand.click("Start", opens=answer)
    hand.look("wall", 1)
    lesson = program.room.lesson
    own = lesson is not None and lesson.session.state.plan.title == LINES[0].strip("# ")
    hand.reach(WALL, if_so=program.room.wall.full.isVisible() and own)


def template_lesson(hand: Hand, program: Any) -> None:
    """The same with a template, which is there already."""
    by_keys = hand.way == "keyboard"
    if program.window.curtain is not None and program.window.curtain.isVisible():
        hand.key("Return")
    hand.key("1") if by_keys else hand.click("1 Start a template now")

    def answer() -> None:
        hand.key("2") if by_keys else hand.click("The class sees screen 2")

    hand.key("Return", opens=answer) if by_keys else hand.click("Start", opens=answer)
    hand.look("wall-template", 1)
    hand.reach(f"{WALL}, of a template", if_so=program.room.wall.full.isVisible())


def early_release_card(hand: Hand, program: Any) -> None:
    """Sunday evening: Monday ends early, which no calendar has said; its card is printed."""
    from PySide6.QtPrintSupport import QPrintDialog, QPrinter
    from PySide6.QtWidgets import QDialog

    paper = Path("card.pdf").resolve()

    def print_it(dialog: QPrintDialog) -> QDialog.DialogCode:
        hand.answer_print()
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(paper))
        return QDialog.DialogCode.Accepted

    QPrintDialog.exec = print_it
    hand.look("evening")
    if hand.way == "keyboard":
        hand.key("F4")
        hand.key("E")
    else:
        hand.choose("Shape of today", "Early release")
    hand.look("early-release")
    hand.key("Ctrl+P") if hand.way == "keyboard" else hand.click("Print card…")
    hand.look("printed")
    is_early = program.settings.now.day_choice == ("2026-03-09", "Early release")
    hand.reach(CARD, if_so=is_early and paper.stat().st_size > 0)


def last_week(hand: Hand, program: Any) -> None:
    """Sunday evening: next week as the last one."""
    hand.key("Ctrl+2") if hand.way == "keyboard" else hand.click("Week")
    hand.look("week")
    hand.key("Alt+C") if hand.way == "keyboard" else hand.click("Copy last week")
    hand.look("week-copied")
    days = program.planned.now.days
    hand.reach(COPIED, if_so=all(f"2026-03-{day:02}" in days for day in (9, 10, 12)))


def plan(name: str) -> None:
    """Before the program starts: an outline of hers, and the days on which it is planned."""
    outlines = Path("data/outlines")
    outlines.mkdir(parents=True)
    text = 'format = 1\ntitle = "Thirds"\n[block]\nminutes = 75\ngroups = 3\n'
    text += '[[phase]]\ntitle = "Model"\nkind = "modeling"\nbudget = "20"\n'
    (outlines / "thirds.toml").write_text(text, encoding="utf-8")
    Path("data/planned-days.json").write_text(json.dumps({"days": PLANNED[name]}), encoding="utf-8")


def _fits(outline: Any) -> bool:
    from pacer.plan.fit import fit_of

    fit = fit_of(outline)
    return fit.budgets_s <= fit.length_s


WALKS = {
    "first_lesson": first_lesson, "template_lesson": template_lesson,
    "early_release_card": early_release_card, "last_week": last_week,
}  # fmt: skip


def walk(name: str, way: str, size: str, out: Path) -> None:
    """Walk in the whole program, in a folder of this process's own; print what it took as JSON."""
    from tests.pictures import frozen

    frozen.freeze(STARTS.get(name, "2026-03-09 08:50"))
    if name in PLANNED:
        plan(name)
    from PySide6.QtCore import QLocale
    from PySide6.QtWidgets import QApplication

    from pacer.qt import app
    from pacer.qt.start import run_app
    from tests.pictures.hands import Camera

    QLocale.setDefault(QLocale("en_US"))
    programs: list[app.Program] = []
    show = app.Program.show

    def noted(program: app.Program) -> None:
        programs.append(program)
        show(program)

    app.Program.show = noted  # type: ignore[method-assign]
    hand = Hand(way, Camera(out, size))

    def play(_application: object = None) -> int:
        frozen.pass_ms(3000)
        programs[0].window.activateWindow()
        frozen.settle()
        try:
            WALKS[name](hand, programs[0])
        except BaseException as fault:
            print(f"{type(fault).__name__}: {fault}", file=sys.stderr)
            os._exit(3)
        print(json.dumps({"reached": hand.reached, "done": hand.done}))
        sys.stdout.flush()
        os._exit(0)  # the lesson that runs would ask before it is left

    QApplication.exec = play
    run_app(Path("data").resolve(), demo=False)


def main(arguments: list[str]) -> int:
    """Walk every way. 1: a target is missed, or something is not reached."""
    sys.path.insert(0, str(HERE.parents[1]))
    from tests.pictures.render import WORK, surroundings

    out = Path(arguments[0]).resolve()
    out.mkdir(parents=True, exist_ok=True)
    size, missed = "1366x768", 0
    print(f"{'goal':34}{'by':10}{'actions':>8}{'estimated':>11}{'program':>9}{'target':>8}")
    for name in WALKS:
        for way in WAYS:
            work = WORK / f"walk-{name}-{way}"
            shutil.rmtree(work, ignore_errors=True)
            work.mkdir(parents=True)
            scene = "one_screen" if name in PLANNED else "pages"
            done = subprocess.run(
                [sys.executable, __file__, "--walk", name, way, size, str(out)],
                env=surroundings(scene, size, work), cwd=work, text=True, capture_output=True, check=False,
                timeout=300,
            )  # fmt: skip
            if done.returncode:
                print(f"{name} by {way}: {done.stderr[-2000:]}")
                missed += 1
                continue
            said = json.loads(done.stdout.splitlines()[-1])
            for goal, (actions, seconds, waited) in said["reached"].items():
                target, most = TARGETS_S.get(goal), TARGET_ACTIONS.get(goal)
                is_missed = target is not None and seconds + waited > target
                is_missed = is_missed or (most is not None and actions > most)
                missed += is_missed
                told = f"{target:.0f} s" if target is not None else "" if most is None else f"≤ {most}"
                told += " missed" if is_missed else ""
                print(f"{goal:34}{way:10}{actions:8}{seconds:9.1f} s{waited:7.1f} s{told:>8}")
            if "--steps" in arguments:
                print(*(f"    {seconds:5.1f} s  {what}" for what, seconds in said["done"]), sep="\n")
    return int(bool(missed))


if __name__ == "__main__":
    if sys.argv[1] == "--walk":
        walk(sys.argv[2], sys.argv[3], sys.argv[4], Path(sys.argv[5]))
    else:
        sys.exit(main(sys.argv[1:]))
