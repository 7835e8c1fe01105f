"""The scenes: drives the whole program as a teacher does, by its words and keys, and takes the pictures."""

import json
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from datetime import timedelta
from functools import partial
from pathlib import Path

from PySide6.QtCore import QLocale, QPoint, Qt
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter, QPen
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractItemView, QApplication, QDialog, QLineEdit, QPlainTextEdit, QPushButton

from tests.pictures import frozen
from tests.pictures.hands import CLASS, LAPTOP, LEDGE, Camera, choose, found, meanwhile, press, tap, write

RED = QColor(200, 20, 20)
DATA = Path("data").resolve()
LESSON = "Fractions"
PHASE = '[[phase]]\ntitle = "{title}"\nkind = "{kind}"\nbudget = "{budget}"\n'
HEAD = 'format = 1\ntitle = "{title}"\n[block]\nminutes = 75\nmini_lesson = "25"\ngroups = 3\n'
PASTED = """# Number line lesson [everyone], 20 min, value 3
Count by fourths on the line [everyone], 3 min, value 3
Model 3/4 and 5/4, 7 min, needs 1
Sort the cards [materials], 8 min, value 1
A harder line to five [extension], 6 min
Workbook page 12 [independent], 9 min
Exit question, 2 min, value 2
"""
TAKEN = """Thirds on a number line
Grade 4, Monday
Phase\tMinutes\tWhat the class does
Warm-up\t5 min\tCount by halves
Review\tabout 3\tTwo problems
Model\t7\tTwo examples, then one with a mistake
Talk\t\tTurn and talk
Practice\t8-10 min\tCards in pairs
~~Exit note\t2~~
Total\t29 min
"""
MINUTE_MS = 60_000
VIEWS = 18  # of Look back


def invented_outlines(folder: Path) -> None:
    """Outlines that no template shows: what fills the Wall, too long, very many phases, with a fault."""
    folder.mkdir(parents=True)
    image = QImage(300, 200, QImage.Format.Format_RGB32)
    image.fill(RED)
    assert image.save(str(folder / "red.png"))
    fills = HEAD.format(title="Problem and picture")
    fills += (
        PHASE.format(title="Problem", kind="guided-practice", budget="3") + 'problem = "3/4 + 2/4 = ____"\n'
    )
    fills += PHASE.format(title="Picture", kind="modeling", budget="4") + 'attach = "red.png"\n'
    fills += PHASE.format(title="Lost", kind="modeling", budget="4") + 'attach = "missing.png"\n'
    many, long = HEAD.format(title="Thirty phases"), HEAD.format(title="Longer than the block")
    for number in range(1, 31):
        many += PHASE.format(title=f"Part {number}", kind="review", budget="0:50")
    for title in ("One", "Two", "Three"):
        long += PHASE.format(title=f"Part {title}", kind="modeling", budget="30")
    texts = {"fills": fills, "many": many, "long": long, "faulty": "format = 1\ntitle = 7\n"}
    texts["signs"] = signs_outline(folder)
    for name, text in texts.items():
        (folder / f"{name}.toml").write_text(text, encoding="utf-8")


def signs_outline(folder: Path) -> str:
    """Groups and stations with pictures, one of which can't be read, and a name from right to left."""
    for number, (name, colour) in enumerate(
        (
            ("table", "#EFE3C2"),
            ("cards", "#8FB8A8"),
            ("dice", "#C98A5B"),
            ("otters", "#7B6FA8"),
            ("folder", RED),
        )
    ):
        image = QImage(400, 300, QImage.Format.Format_ARGB32_Premultiplied)
        image.fill(QColor("#FFFFFF") if number < 2 else Qt.GlobalColor.transparent)
        with QPainter(image) as painter:
            painter.setPen(QPen(QColor("#17202B"), 9))
            painter.setBrush(QColor(colour))
            for part in range(3):
                painter.drawEllipse(20 + part * 100, 20 + (part + number) % 3 * 50, 160, 160)
        assert image.save(str(folder / f"{name}.png"))
    (folder / "torn.png").write_bytes(b"no picture")
    text = HEAD.format(title="Groups with pictures").replace("groups = 3", "groups = 4")
    text += 'move_words = "Folder, pencil"\nmove_picture = "folder.png"\n'
    for name, picture in (("Otters", "otters.png"), ("דובים", "torn.png"), ("Herons", ""), ("Star", "")):
        text += f'[[group]]\nname = "{name}"\npicture = "{picture}"\n'
    places = (("Our table", "table"), ("Card sort", "cards"), ("Number line", ""), ("Dice game", "dice"))
    for name, picture in places:
        text += f'[[station]]\nname = "{name}"\n' + (f'picture = "{picture}.png"\n' if picture else "")
        text += "teacher = true\n" if name == "Our table" else ""
    return text + PHASE.format(title="Modeling", kind="modeling", budget="10")


def signs(camera: Camera) -> None:
    """The second half with pictures: the walk, a visit, its last minute, a swap, hidden time."""
    choose("Outlines", "Groups with pictures")
    frozen.pass_ms(2000)
    camera.take("today-signs")
    meanwhile(partial(press, "Start"), partial(press, "The class sees screen 2"))
    frozen.pass_ms(5000)
    tap("G")
    camera.wait_for(RED, CLASS, (0.22, 0.45))
    camera.both("signs-move")
    frozen.pass_ms(MINUTE_MS)
    tap("PageDown")
    frozen.pass_ms(3 * MINUTE_MS)
    camera.both("signs-visit")
    tap("H")
    camera.take("wall-signs-hidden", CLASS)
    tap("H")
    frozen.pass_ms(12 * MINUTE_MS)
    camera.both("signs-last-minute")
    tap("PageDown")
    frozen.pass_ms(10_000)
    camera.both("signs-swap")


def lesson(camera: Camera) -> None:
    """A lesson from the question about the screens to its end; one with a picture; a rehearsal."""
    choose("Outlines", LESSON)

    def numbers() -> None:
        camera.take("numbers-private", LAPTOP)
        camera.take("numbers-class", CLASS)
        press("The class sees screen 2")

    meanwhile(partial(press, "Get ready"), numbers)
    frozen.pass_ms(2000)
    camera.both("ready")
    tap("Space")
    frozen.pass_ms(30_000)
    camera.both("steady")
    frozen.pass_ms(75_000)
    camera.both("closing")
    frozen.pass_ms(20_000)
    camera.both("borrowing")
    frozen.pass_ms(90_000)
    camera.both("move-on")
    tap("PageDown")
    frozen.pass_ms(8000)
    camera.both("re-cut")
    tap("K W")
    for edge in ("bottom", "top", "left", "right"):
        frozen.pass_ms(1000)
        camera.take(f"wall-strip-{edge}", CLASS)
        tap("S")
    tap("H")
    camera.take("wall-strip-hidden", CLASS)
    tap("H X")
    camera.both("strip-blank")
    tap("X W")
    camera.take("wall-off", CLASS)
    tap("W H")
    camera.both("hidden")
    tap("H Ctrl+4 P")
    frozen.pass_ms(3000)
    camera.both("partner-first")
    frozen.pass_ms(13_000)
    camera.both("partner-second")
    tap("E")
    camera.both("eyes-back")
    tap("E Up 3 M F Space")
    camera.both("paused")
    tap("Space X")
    camera.both("blank")
    tap("X Space Home")
    camera.both("ended-early")
    tap("Return")
    camera.take("look-back-after-lesson")
    press("Today")
    filled(camera)
    press("Today")
    choose("Outlines", LESSON)
    if camera.is_narrow:
        press_beginning("&What is")
    press("Rehearse")
    frozen.pass_ms(20_000)
    camera.both("rehearsal")


def second_half(camera: Camera) -> None:
    """A lesson from the move to groups to the bell: on time, over, cut anew, late, paused, ended."""
    choose("Outlines", LESSON)
    meanwhile(partial(press, "Get ready"), partial(press, "The class sees screen 2"))
    frozen.pass_ms(2000)
    tap("Space T 3 3 5")
    frozen.pass_ms(25 * MINUTE_MS)
    tap("G L")
    camera.both("move")
    frozen.pass_ms(2 * MINUTE_MS)
    tap("PageDown")
    frozen.pass_ms(3 * MINUTE_MS)
    camera.both("visit-steady")
    tap("Space")
    camera.both("visit-paused")
    tap("Space")
    frozen.pass_ms(9 * MINUTE_MS + 15_000)
    camera.both("visit-closing")
    frozen.pass_ms(MINUTE_MS + 15_000)
    camera.both("visit-borrowing")
    tap("PageDown")
    frozen.pass_ms(20_000)
    camera.both("swap")
    tap("PageDown Ctrl+Down Ctrl+Down")
    camera.both("bell-earlier")
    tap("Up Up Up Up Up Up")
    camera.both("offer")
    tap("K")
    camera.both("one-group-fewer")
    tap("PageUp Down Down Down Down Down Down Down Down Down Down Down Down Ctrl+Up Ctrl+Up")
    frozen.pass_ms(20 * MINUTE_MS)
    camera.both("visit-move-on")
    tap("Ctrl+3")
    frozen.pass_ms(5000)
    tap("O")
    camera.both("group-out")
    tap("PageDown")
    frozen.pass_ms(30_000)
    camera.both("share")
    tap("PageDown")
    frozen.pass_ms(20_000)
    camera.both("clean-up")
    frozen.pass_ms(13 * MINUTE_MS)
    camera.both("bell-was-due")
    tap("Home")
    camera.both("ended")
    if not camera.is_narrow:
        touch()
        camera.take("desk-touch-ended")
    tap("Return")
    frozen.pass_ms(2000)
    camera.page("look-back-left-over")
    press("4 still open")
    camera.take("look-back-left-over-open")
    press("Problem 5: 1 stuck: table tomorrow")
    camera.page("look-back-left-over-said")
    press("Today")
    frozen.pass_ms(2000)
    camera.take("today-left-over")


def desk_card(camera: Camera) -> None:
    """The Desk card on a third screen: how it is chosen, every state of both halves, covered, baseline."""
    press("Room")
    camera.take("card-room-before")

    def number() -> None:
        camera.take("card-question")
        camera.take("card-number", LEDGE)
        press("The Desk card goes on screen 3")

    def both() -> None:
        press("The class sees screen 2")  # which is asked first
        frozen.real_single_shot(0, number)

    meanwhile(partial(press, "Desk card…"), both)
    camera.take("card-room")
    press("Today")
    choose("Outlines", LESSON)
    press("Get ready")
    frozen.pass_ms(2000)
    camera.card("ready")
    tap("Space")
    frozen.pass_ms(30_000)
    camera.card("steady")
    frozen.pass_ms(75_000)
    camera.card("closing")
    frozen.pass_ms(20_000)
    camera.card("borrowing")
    frozen.pass_ms(90_000)
    camera.card("move-on")
    tap("Space")
    camera.card("paused")
    QGuiApplication.instance().primaryScreenChanged.emit(QGuiApplication.primaryScreen())
    frozen.pass_ms(1000)
    camera.card("covered")
    tap("Return", on="Curtain")
    tap("Space PageDown")
    frozen.pass_ms(20 * MINUTE_MS)
    tap("G")
    camera.card("move")
    frozen.pass_ms(2 * MINUTE_MS)
    tap("PageDown")
    frozen.pass_ms(3 * MINUTE_MS)
    camera.card("visit-steady")
    frozen.pass_ms(9 * MINUTE_MS)
    camera.card("visit-later")
    frozen.pass_ms(5 * MINUTE_MS)
    camera.card("visit-last")
    tap("Home")
    camera.card("ended")
    tap("Return")


def touched(camera: Camera) -> None:
    """A lesson that is run without a keyboard: the targets in every state, and on the curtain."""
    choose("Outlines", LESSON)
    meanwhile(partial(press, "Get ready"), partial(press, "The class sees screen 2"))

    def by_hand(command: str, name: str) -> None:
        touch()
        frozen.pass_ms(1000)
        press(command)
        frozen.pass_ms(1000)
        touch()
        camera.take(f"desk-touch-{name}")
        frozen.pass_ms(7000)

    touch()
    camera.take("desk-touch-ready")
    by_hand("Start the lesson", "steady")
    frozen.pass_ms(90_000)
    touch()
    camera.take("desk-touch-closing")
    frozen.pass_ms(90_000)
    touch()
    camera.take("desk-touch-move-on")
    by_hand("Next", "re-cut")
    by_hand("Undo the last press", "undone")
    by_hand("Partner talk", "partner")
    by_hand("Eyes back", "eyes-back")
    by_hand("Pause", "paused")
    touch()
    tap("Down")
    camera.take("desk-touch-refused")
    screens = QGuiApplication.instance()
    screens.primaryScreenChanged.emit(QGuiApplication.primaryScreen())
    frozen.pass_ms(1000)
    camera.take("curtain-touch")
    press("Show the Desk")
    by_hand("End the lesson", "ended")


def touch() -> None:
    """A finger on the Desk, where no target is."""
    desk = found("Desk")
    QTest.mouseClick(desk, Qt.MouseButton.LeftButton, pos=QPoint(30, 30))
    frozen.settle()


def filled(camera: Camera) -> None:
    """A lesson whose phases fill the Wall with a problem, a picture, and one that is lost."""
    choose("Outlines", "Problem and picture")
    frozen.pass_ms(2000)
    camera.take("today-not-ready")
    meanwhile(partial(press, "Start"), partial(press, "The class sees screen 2"))
    frozen.pass_ms(5000)
    camera.both("problem")
    tap("P")
    camera.take("wall-problem-partner", CLASS)
    tap("E E S")
    camera.take("wall-problem-strip-top", CLASS)
    tap("S")
    camera.take("wall-problem-strip-left", CLASS)
    tap("PageDown")
    camera.wait_for(RED, CLASS)
    camera.both("picture")
    tap("C")
    camera.take("wall-picture-countdown", CLASS)
    tap("C H")
    camera.take("wall-picture-hidden", CLASS)
    tap("H PageDown")
    frozen.pass_ms(3000)
    camera.both("picture-lost")
    tap("Home")
    frozen.pass_ms(2000)
    camera.both("bell")
    tap("Return")


def one_screen(camera: Camera) -> None:
    """One screen that children see: the question, the Wall with its mark, the curtain below it."""

    def answer() -> None:
        camera.take("question-one-screen")
        found("Beside the Wall: a small mark in the corner for me, without words").setChecked(True)
        press("Children see it: show the Wall")

    choose("Outlines", LESSON)
    meanwhile(partial(press, "Start"), answer)
    frozen.pass_ms(110_000)
    camera.take("one-screen-wall-and-mark")
    for window in QApplication.topLevelWidgets():
        if window.isVisible() and not window.windowTitle().startswith("Pacer"):
            window.hide()
    camera.take("curtain")


def mirrored(camera: Camera) -> None:
    """Screens that show the same: the question before a rehearsal."""
    choose("Outlines", LESSON)
    if camera.is_narrow:
        press_beginning("&What is")

    def answer() -> None:
        camera.take("question-rehearsal")
        press("Cancel")

    meanwhile(partial(press, "Rehearse"), answer)


def press_beginning(words: str) -> None:
    """Press the button whose words begin so: the rest of them tells a number."""
    buttons = [b for b in QApplication.allWidgets() if isinstance(b, QPushButton) and b.isVisible()]
    press(next(b.text() for b in buttons if b.text().startswith(words)).replace("&", ""))


def new(camera: Camera) -> None:
    """The first start: nothing is there yet, on no page; then a baseline lesson, which is left unfinished."""
    camera.take("first-start")
    press("Library")
    camera.page("library-new")
    press("Split")
    camera.page("split-new")
    press("Look back")
    for view in range(VIEWS):
        if view in (0, 1, VIEWS - 2, VIEWS - 1):
            choose("Views", view)
            camera.page(f"look-back-new-{view + 1:02d}")
    press("Room")
    camera.page("room-new")
    press("Today")
    press("2 Write my own")
    frozen.pass_ms(2000)
    camera.page("outline-new")
    press("Today")
    camera.take("today-new")
    choose("Outlines", LESSON)
    meanwhile(partial(press, "Start"), partial(press, "The class sees screen 2"))
    frozen.pass_ms(130_000)
    camera.take("desk-baseline")
    found("Desk").window().close()
    frozen.settle()
    camera.take("curtain-kept")
    camera.take("wall-kept", CLASS)


def again(camera: Camera) -> None:
    """The next start, with a lesson that was cut off."""
    camera.take("today-unfinished")


def today(camera: Camera) -> None:
    """Today and Outline."""
    choose("Outlines", LESSON)
    frozen.pass_ms(2000)
    camera.take("today")
    choose("Outlines", "Longer")
    frozen.pass_ms(2000)
    camera.take("today-too-long")
    choose("Outlines", "faulty")
    frozen.pass_ms(2000)
    camera.take("today-faulty")
    choose("Outlines", LESSON)
    frozen.pass_ms(2000)
    if camera.is_narrow:
        press_beginning("&What is")
        frozen.pass_ms(1000)
        camera.page("today-ready-list")
        press("Back to outlines")
    press("Outline")
    frozen.pass_ms(3000)
    camera.page("outline")
    press("Groups and times")
    camera.page("outline-groups")
    dialog(camera, "Rotation…", "week")
    press("More of this phase")
    camera.page("outline-phase")
    press("More of this phase")
    for name, begins in (("too-long", "Longer"), ("thirty", "Thirty")):
        menu = found("Open", QPushButton).menu()
        menu.aboutToShow.emit()
        next(action for action in menu.actions() if action.text().startswith(begins)).trigger()
        frozen.pass_ms(3000)
        camera.page(f"outline-{name}")
    press("New")
    frozen.pass_ms(3000)
    camera.page("outline-empty")


def taken(camera: Camera) -> None:
    """The window of what was taken: empty, with what was read, and a line that was corrected."""
    press("Outline")
    frozen.pass_ms(3000)

    def look() -> None:
        camera.take("taken-empty")
        QApplication.clipboard().setText(TAKEN)
        tap("Ctrl+V", on="What you have")
        frozen.pass_ms(1000)
        camera.take("taken")
        press("Leave out")
        press("Next to look at")
        frozen.pass_ms(1000)
        camera.take("taken-corrected")
        shown = QApplication.activeModalWidget()
        assert isinstance(shown, QDialog)
        press("Make this my outline")

    meanwhile(partial(press, "Take what I have…"), look)
    frozen.pass_ms(3000)
    camera.page("taken-made")


def pages(camera: Camera) -> None:
    """Every page, and the dialogs that they open."""
    today(camera)
    press("Earlier versions")
    camera.page("outline-versions")
    press("Leave it as it is")
    dialog(camera, "Kinds", "kinds")
    press("Today")
    dialog(camera, "Day shapes…", "day-shapes", save=True)
    camera.take("today-day-shape")
    press("Split")
    camera.page("split-empty")
    next(
        e for e in QApplication.allWidgets() if isinstance(e, QPlainTextEdit) and e.isVisible()
    ).setPlainText(PASTED)
    frozen.pass_ms(2000)
    camera.page("split")
    press("Room")
    camera.page("room")
    meanwhile(partial(press, "Test card"), partial(press, "The class sees screen 2"))
    camera.take("room-test-card", CLASS)
    press("Close the test card")
    tap("PageDown 7 Space", on="Field for keys: press each button of the clicker")
    camera.page("room-keys")
    look_back(camera)


def week(camera: Camera) -> None:
    """Week: empty, full, a snow day, two weeks, the unit, an outline being chosen; Today by the plan."""
    from pacer.qt.week.page import WeekPage
    from pacer.settings.outline_shelf import shelf
    from pacer.settings.planned_days import name_of

    press("Week")
    frozen.pass_ms(1000)
    camera.page("week-empty")
    page = found("Week", WeekPage)
    assert isinstance(page, WeekPage)
    names = [name_of(entry.path) for entry in shelf(DATA / "outlines") if entry.outline is not None]
    monday = page.monday
    for number in (-7, -6, -4, 0, 0, 1, 2, 2, 4, 7, 8, 9, 10):
        name = names[(number * 5 + 3) % len(names)]
        page.editor.assign(monday + timedelta(days=number), name, name)
    page.editor.shape(monday + timedelta(days=1), "Early release")
    page.editor.shape(monday + timedelta(days=3), "")
    page.open_on(monday + timedelta(days=1))
    frozen.pass_ms(1000)
    camera.page("week")
    press("2 weeks")
    camera.page("week-two")
    press("1 week")
    chosen = next(each.list for each in page.columns if each.list.day == page.day)
    tap("Right", on=chosen.accessibleName(), kind=type(chosen))  # its column has the same name
    press("Snow day")
    camera.page("week-snow-day")
    meanwhile(partial(press, "Add a lesson…"), partial(picked, camera))
    press("Unit")
    camera.page("week-unit")
    press("Today")
    frozen.pass_ms(1000)
    camera.take("week-today-planned")
    frozen.pass_ms(10 * 60 * MINUTE_MS)
    press("Week")
    press("Today")
    frozen.pass_ms(2000)
    camera.take("week-today-tomorrow")


def picked(camera: Camera) -> None:
    """Choose the first outline that is offered."""
    camera.page("week-picker")
    press("OK")


def invented_lessons(folder: Path) -> None:
    """A term's outlines of two subjects, one that broke at a line, one that is a plain list."""
    units = {"Fractions": "Mathematics", "Place value": "Mathematics", "Light": "Science"}
    for unit, subject in units.items():
        for number in range(1, 6):
            title = f"{unit}, lesson {number}"
            head = HEAD.format(title=title)
            head = head.replace("[block]", f'subject = "{subject}"\nunit = "{unit}"\n[block]')
            text = head + PHASE.format(title="Warm-up", kind="warm-up", budget="2")
            text += PHASE.format(title="Model together", kind="modeling", budget="7")
            text += PHASE.format(title="Practice in pairs", kind="guided-practice", budget="8")
            (folder / f"{unit.lower().replace(' ', '-')}-{number}.toml").write_text(text, encoding="utf-8")
    broken = HEAD.format(title="Halves") + PHASE.format(title="Fold", kind="review", budget="3")
    broken = broken.replace('title = "Fold"', "title = \u201cFold a strip\u201d")
    (folder / "halves-mended-elsewhere.toml").write_text(broken, encoding="utf-8")
    (folder / "from-my-phone.toml").write_text("Warm-up 2\nReview 3\nModel 7\n", encoding="utf-8")


def library(camera: Camera) -> None:
    """The library: full, a search without a result, broken files and their text, templates, put away."""
    invented_lessons(DATA / "outlines")
    press("Library")
    frozen.pass_ms(1000)
    choose("Outlines", "Fractions, lesson 3")
    camera.page("library")
    found("Title", QLineEdit).selectAll()
    write("Title", "Thirds on a line")
    tap("Return", on="Title")
    camera.take("library-renamed")
    choose("Outlines", "halves-mended")
    camera.page("library-broken")
    press("Open its text")
    camera.take("library-text")
    press("Back without saving")
    choose("Outlines", "from-my-phone")
    camera.take("library-list")
    write("Search", "no such lesson")
    camera.take("library-nothing")
    found("Search", QLineEdit).clear()
    choose("Outlines", "Light, lesson 2")
    if camera.is_narrow:
        press("More…")
        camera.take("library-more")
        menu = QApplication.activePopupWidget()
        next(action for action in menu.actions() if "Put" in action.text()).trigger()
        menu.close()
    else:
        press("Put away")
    camera.take("library-put-away-told")
    press("Put away (1)")
    camera.page("library-put-away")
    press("Templates (10)")
    choose("Outlines", LESSON)
    camera.page("library-templates")


def dialog(camera: Camera, opens: str, name: str, *, save: bool = False) -> None:
    """The dialog that a button opens."""

    def answer() -> None:
        camera.page(f"dialog-{name}")
        shown = QApplication.activeModalWidget()
        assert isinstance(shown, QDialog)
        press("Save") if save else shown.reject()

    meanwhile(partial(press, opens), answer)


def look_back(camera: Camera) -> None:
    """Every view of Look back."""
    press("Look back")
    frozen.pass_ms(2000)
    for view in range(VIEWS):
        choose("Views", view)
        frozen.pass_ms(2000)
        camera.page(f"look-back-{view + 1:02d}")
        if view == 1:
            dialog(camera, "Coach copy…", "coach-copy")
    found("Day records", QAbstractItemView).selectRow(1)
    press("Put into the trash")
    camera.page("records-trash")
    press("Delete for good…")
    camera.page("records-erase")
    choose("Views", 0)
    choose_lesson(0)
    write("One thing tomorrow", "Sharpen all pencils before nine")
    tap("Return", on="One thing tomorrow")
    camera.page("look-back-thing")
    press("Repair…")
    camera.page("repair")
    press("Outline")
    frozen.pass_ms(2000)
    camera.take("outline-thing")
    press("Today")
    frozen.pass_ms(2000)
    camera.take("today-thing")


def choose_lesson(row: int) -> None:
    """Choose a lesson of the list."""
    lessons = found("Day records", QAbstractItemView)
    lessons.setCurrentIndex(lessons.model().index(row, 0))
    frozen.settle()


def paper(camera: Camera) -> None:
    """What is printed, drawn from its PDF; and the window that says why the program can't open."""
    from PySide6.QtPdf import QPdfDocument

    from pacer.__main__ import main
    from pacer.paths import template_folder
    from pacer.qt.note_window import NoteWindow

    outline = template_folder() / "number-line-75.toml"
    asked = {
        "card": ["card", str(outline)], "card-letter": ["card", str(outline), "--paper", "Letter"],
        "squares": ["card", "--squares"], "coach-copy": ["report", "--demo", "--data-dir", str(DATA)],
    }  # fmt: skip
    for name, words in asked.items():
        assert main([*words, "--pdf", f"{name}.pdf"]) == 0
        document = QPdfDocument()
        document.load(f"{name}.pdf")
        drawn = document.render(0, (document.pagePointSize(0) * 1.5).toSize())
        page = QImage(drawn.size(), QImage.Format.Format_RGB32)
        page.fill("white")
        with QPainter(page) as painter:
            painter.drawImage(0, 0, drawn)
        camera.keep(f"paper-{name}", page)
    note = NoteWindow("Pacer is open already with another window. Look for it behind the others.")
    note.show()
    found("Today").window().hide()
    camera.take("note-window")
    note.close()


def fail(*fault: object) -> None:
    """End at once, wherever the fault was: in a slot Qt would go on."""
    sys.__excepthook__(*fault)
    os._exit(3)


def begin(scene: str, size: str, out: Path) -> None:
    """Play one scene in the whole program, or on paper."""
    frozen.freeze("2026-03-09 09:20" if scene == "again" else "2026-03-09 09:00")
    play: Callable[[Camera], None] = globals()[scene]
    camera = Camera(out, size)
    QLocale.setDefault(QLocale("en_US"))
    fresh = scene in ("new", "again")
    if not DATA.exists():
        invented_outlines(DATA / "outlines") if not fresh else DATA.mkdir()
        (DATA / "settings.json").write_text(json.dumps({"reduced_motion": True, "baseline": fresh}))

    def play_instead(_application: object = None) -> int:
        sys.excepthook = fail  # in place of the program's own, which goes on
        QApplication.setCursorFlashTime(0)
        frozen.pass_ms(3000)
        with suppress(LookupError):  # where the class may look the pages wait for Enter
            tap("Return", on="Curtain")
            frozen.pass_ms(1000)
        play(camera)
        return 0

    QApplication.exec = play_instead
    from pacer.qt.start import run_app

    sys.exit(run_app(DATA, demo=not fresh))


if __name__ == "__main__":
    begin(sys.argv[1], sys.argv[2], Path(sys.argv[3]))
