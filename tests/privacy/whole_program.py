"""Drives the whole program, as a teacher does, in a watched process; tells as JSON all that others could see.

``python tests/privacy/whole_program.py WORK``: the work folder holds screens.json; what it finds goes to
WORK/seen.json. Data of an older Pacer, open to everybody, lies there before the start.
"""

import json
import os
import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

from PySide6.QtCore import qWarning
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractItemView,
    QApplication,
    QDialog,
    QFileDialog,
    QLineEdit,
    QPlainTextEdit,
)

from tests.pictures import frozen
from tests.pictures.hands import choose, found, meanwhile, press, tap, write
from tests.privacy.canaries import outline_text
from tests.privacy.watched import Watch, open_to_others

WORK = Path(sys.argv[1]).resolve()
DATA, OUT = WORK / "home" / "data", WORK / "home" / "out"
# A picture of one pixel, and the name that nobody but the teacher may read.
PIXEL = bytes.fromhex(
    "89504e470d0a1a0a0000000d49484452000000010000000108060000001f15c4890000000d49444154789c6360606060000000"
    "050001a5f645400000000049454e44ae426082"
)
SETTINGS = {"reduced_motion": True, "reminders": ["canary-reminder"]}


class Diary:
    """What is seen from outside, moment by moment."""

    def __init__(self, watch: Watch) -> None:
        self.watch = watch
        self.moments: list[dict[str, object]] = []
        self.readable: list[str] = []

    def look(self, step: str) -> None:
        """Note all texts that a class, a taskbar, a screen reader on the Wall or another user gets at."""
        from dataclasses import astuple

        from pacer.qt.wall.window import WallCanvas

        frozen.settle()
        walls = [one for one in QApplication.allWidgets() if isinstance(one, WallCanvas)]
        shown = [one for one in walls if one.isVisible()]
        titles = [one.windowTitle() + one.windowIconText() for one in QApplication.topLevelWidgets()]
        titles += [window.title() + window.objectName() for window in QGuiApplication.topLevelWindows()]
        self.watch.look_at_sockets()
        self.readable += [f"{step}: {path}" for path in open_to_others(WORK / "home")]
        self.moments.append(
            {
                "step": step,
                "running": running_phase(),
                "walls": [" ".join(map(str, astuple(one.frame))) for one in shown],
                "spoken": [
                    " ".join(
                        (one.accessibleName(), one.accessibleDescription(), one.toolTip(), one.statusTip())
                    )
                    for one in walls
                ],
                "titles": titles,
                "card": spoken_by_card(),
                "clipboard": QGuiApplication.clipboard().text(),
            }
        )


def spoken_by_card() -> str | None:
    """What a screen reader says of the Desk card, None where there is none yet."""
    cards = [one for one in QApplication.topLevelWidgets() if one.accessibleName() == "Desk card"]
    return cards[0].accessibleDescription() if cards else None


def running_phase() -> int | None:
    """The phase that runs, from 1, as the Desk's own lesson tells it."""
    for one in QApplication.topLevelWidgets():
        program = getattr(one, "_canary_program", None)
        if program is not None and program._room is not None and program._room.lesson is not None:
            state = program._room.lesson.session.state
            return None if state.index is None or state.ended_ms is not None else state.index + 1
    return None


def older_data() -> None:
    """What a Pacer left that knew nothing of others on the computer, and what somebody else planted."""
    (DATA / "outlines").mkdir(parents=True)
    (DATA / "drafts").mkdir()
    OUT.mkdir(0o700)  # a folder of hers that is none of Pacer's
    (DATA / "outlines" / "canary-path.toml").write_text(outline_text("canary-file.png"))
    (DATA / "outlines" / "canary-path-2.toml").write_text("title = canary-lesson\nformat = 1\n[[phase]]\n")
    (DATA / "outlines" / "canary-file.png").write_bytes(PIXEL)
    (DATA / "settings.json").write_text(json.dumps(SETTINGS))
    (DATA / "pacer.log").write_text("old\n")
    draft = {
        "path": str(DATA / "outlines" / "planted.toml"),
        "stamp": "",
        "utc_ms": 1,
        "text": 'title = "planted"',
    }
    (DATA / "drafts" / "planted.json").write_text(json.dumps(draft))
    for around, folders, files in os.walk(DATA):
        Path(around).chmod(0o777)
        for name in (*folders, *files):
            Path(around, name).chmod(0o777 if name in folders else 0o666)
    if os.getuid() == 0:  # only then can a file be made to be somebody else's
        (DATA / "drafts" / "planted.json").chmod(0o600)
        os.chown(DATA / "drafts" / "planted.json", 65534, 65534)


def every_key(diary: Diary) -> None:
    """All lesson keys, in three phases, with a look after each."""
    from pacer.commands import KEYS

    last = {"Return", "Home", "G", "Ctrl+End", "D", "PageDown", "Right"}
    names = [name for key in KEYS for name in key.names if name not in last]
    for phase in range(3):
        for name in names:
            if name.startswith("Ctrl+") and name[5:].isdigit() and phase != 1:
                continue
            tap(name)
            diary.look(f"{name} in phase {phase + 1}")
        tap("Ctrl+1")
        for _step in range(phase + 1):
            tap("D")
        frozen.pass_ms(3000)  # large changes of the Wall keep a distance from each other
        diary.look("moved on")


def choose_the_card() -> None:
    """Which screen the class sees, and which has the Desk card."""
    press("Room")

    def both() -> None:
        press("The class sees screen 2")
        frozen.real_single_shot(0, partial(press, "The Desk card goes on screen 3"))

    meanwhile(partial(press, "Desk card…"), both)
    press("Today")


def lesson(diary: Diary) -> None:
    """From the choice of the outline to the end of the lesson."""
    choose_the_card()
    choose("Outlines", "canary-lesson")
    diary.look("today")
    press("Get ready")
    diary.look("ready")
    tap("Space")
    diary.look("started")
    every_key(diary)
    QGuiApplication.instance().primaryScreenChanged.emit(QGuiApplication.primaryScreen())
    frozen.pass_ms(1000)
    diary.look("a screen changed")
    tap("Return", on="Curtain")
    frozen.pass_ms(400_000)
    diary.look("over")
    tap("G")
    frozen.pass_ms(3000)
    diary.look("groups")
    tap("Home")
    frozen.pass_ms(3000)
    diary.look("bell")
    tap("Return")
    frozen.pass_ms(2000)


def after_school(diary: Diary) -> None:
    """One thing for tomorrow, a repair's page, the coach copy, both exports, the trash."""
    diary.look("look back")
    write("One thing tomorrow", "canary-thing")
    tap("Return", on="One thing tomorrow")
    diary.look("a thing for tomorrow")
    press("Repair…")
    diary.look("repair")
    press("Outline")
    frozen.pass_ms(2000)
    menu = found("Open").menu()
    menu.aboutToShow.emit()
    next(action for action in menu.actions() if action.text().startswith("canary-lesson")).trigger()
    frozen.pass_ms(2000)
    area = next(e for e in QApplication.allWidgets() if isinstance(e, QPlainTextEdit) and e.isVisible())
    area.appendPlainText("canary-title-7 2")
    frozen.pass_ms(5000)
    diary.look("typed an outline")
    press("Split")
    area = next(e for e in QApplication.allWidgets() if isinstance(e, QPlainTextEdit) and e.isVisible())
    area.setPlainText("canary-part, 3 min")
    frozen.pass_ms(3000)
    diary.look("split")
    press("Week")
    frozen.pass_ms(1000)
    page = found("Week").window().pages.currentWidget()
    page.editor.assign(page.day, "canary-lesson.toml", "canary-title-7")
    frozen.pass_ms(1000)
    diary.look("week")
    library(diary)
    taken(diary)
    press("Look back")
    frozen.pass_ms(2000)
    export(diary)


def library(diary: Diary) -> None:
    """An outline is copied, renamed, put away, brought back; the text of a broken one is looked at."""
    press("Library")
    diary.look("library")
    choose("Outlines", "canary-path-2")
    press("Open its text")
    diary.look("the text of a file")
    press("Back without saving")
    choose("Outlines", "canary-lesson")
    press("Duplicate")
    press("Put away")
    diary.look("put away")
    press("Put away (1)")
    press("Bring back")
    diary.look("brought back")


def taken(diary: Diary) -> None:
    """A lesson is pasted, looked at, and left lying: it is kept for the next time."""
    from pacer.qt.taken.window import TakenWindow

    def paste() -> None:
        window = QApplication.activeModalWidget()
        assert isinstance(window, TakenWindow)
        window.editor.setPlainText("canary-taken\ncanary-title-8 3\ncanary-title-9 5\n")
        press("Read it")
        frozen.pass_ms(2000)
        diary.look("taken")
        window.reject()

    meanwhile(found("Week").window()._canary_program.pages.take, paste)
    diary.look("taken and kept")


def restore() -> None:
    """A copy of the day records is made and brought back, from the window."""
    from pacer.log.backups import copy_today
    from pacer.log.database import FILE_NAME
    from pacer.qt.look_back.records.restore import RestorePanel

    assert copy_today(DATA / FILE_NAME, date(2026, 3, 8))
    panel = next(one for one in QApplication.allWidgets() if isinstance(one, RestorePanel))
    panel.reload()
    panel.list.selectRow(0)
    panel.ask_button.click()
    panel.yes_button.click()
    frozen.pass_ms(1000)


def export(diary: Diary) -> None:
    """Everything that is written where the teacher wants it."""
    from pacer.qt.look_back.coach_dialog import CoachDialog
    from pacer.qt.look_back.page import VIEWS
    from pacer.qt.look_back.records.export import ExportPanel

    QFileDialog.getExistingDirectory = staticmethod(lambda *_a, **_o: str(OUT))
    panels = [one for one in QApplication.allWidgets() if isinstance(one, ExportPanel)]
    for view in range(len(VIEWS)):
        choose("Views", view)
        frozen.pass_ms(1500)
        panels = panels or [one for one in QApplication.allWidgets() if isinstance(one, ExportPanel)]
    panels[0].export_csv(OUT)
    panels[0].export_json(OUT / "all.json")
    diary.look("exported")
    restore()
    diary.look("restored")
    lessons = found("Day records", QAbstractItemView)
    lessons.selectRow(0)
    choose("Views", 1)

    def fill() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, CoachDialog)
        diary.look("coach dialog")
        dialog.save(OUT / "coach.pdf")
        dialog.reject()

    meanwhile(partial(press, "Coach copy…"), fill)
    press("Today")
    choose("Outlines", "canary-lesson")
    QFileDialog.getSaveFileName = staticmethod(lambda *_a, **_o: (str(OUT / "card.pdf"), ""))
    press("Save…")
    diary.look("card")


def today_again(diary: Diary) -> None:
    """The kinds of days are written, and the lesson is rehearsed."""
    press("Today")

    def write_one() -> None:
        dialog = QApplication.activeModalWidget()
        assert isinstance(dialog, QDialog)
        dialog.findChildren(QLineEdit)[0].setText("canary-shape")
        diary.look("day shapes")
        dialog.reject()

    meanwhile(partial(press, "Day shapes…"), write_one)
    choose("Outlines", "canary-lesson")
    press("Rehearse")
    frozen.pass_ms(20_000)
    diary.look("rehearsal")
    tap("PageDown")
    frozen.pass_ms(20_000)
    diary.look("rehearsal moved on")
    tap("Home")
    frozen.pass_ms(3000)
    diary.look("rehearsal over")
    tap("Return")
    diary.look("after the rehearsal")


def offered() -> list[str]:
    """The drafts that the program would offer."""
    from pacer.settings.recovery import Recovery

    return [draft.path.name for draft in Recovery(DATA / "drafts").all()]


def faults(diary: Diary) -> None:
    """What goes wrong with a private word in it."""
    try:
        raise ValueError("canary-fault")
    except ValueError as fault:
        program_hook(type(fault), fault, fault.__traceback__)
    qWarning("QFont::canary-warning: canary-warning")
    diary.look("a fault")


program_hook: Callable[..., None] = sys.excepthook


def fail(*fault: object) -> None:
    """End at once, wherever the fault was: in a slot Qt would go on."""
    sys.__excepthook__(*fault)
    os._exit(3)


def begin() -> None:
    """Play it all in the whole program."""
    frozen.freeze("2026-03-09 09:00")
    older_data()
    os.umask(0)
    diary = Diary(Watch())

    def play_instead(_application: object = None) -> int:
        global program_hook
        program_hook, sys.excepthook = sys.excepthook, fail  # the program's own goes on
        frozen.pass_ms(3000)
        try:
            tap("Return", on="Curtain")
            frozen.pass_ms(1000)
        except LookupError:
            pass
        lesson(diary)
        after_school(diary)
        today_again(diary)
        faults(diary)
        (WORK / "seen.json").write_text(
            json.dumps(
                {
                    "moments": diary.moments,
                    "offered": offered(),
                    "readable": diary.readable,
                    "network": diary.watch.network,
                    "writers": diary.watch.writers,
                    "made": sorted(p.relative_to(WORK).as_posix() for p in (WORK / "home").rglob("*")),
                    "log": {p.name: p.read_text() for p in DATA.glob("pacer*") if p.name != "pacer.lock"},
                }
            )
        )
        return 0

    from pacer.qt.app import Program

    made = Program.show

    def show(program: Program) -> None:
        program.window._canary_program = program
        made(program)

    Program.show = show
    QApplication.exec = play_instead
    from pacer.qt.start import run_app

    sys.exit(run_app(DATA, demo=False))


if __name__ == "__main__":
    begin()
