"""Starts the program, owns its windows, and carries a lesson from Today to the day record."""

from contextlib import suppress
from datetime import datetime
from functools import partial
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, QTimer, Signal
from PySide6.QtGui import QCloseEvent

from pacer.editing.carried_over import CarriedOver
from pacer.editing.dates.lesson_day import LessonDay
from pacer.editing.dates.planned_outlines import PlannedOutlines
from pacer.editing.dates.taught import Taught
from pacer.editing.dates.unit_left import UnitLeft
from pacer.editing.first_group import FirstGroup
from pacer.editing.first_start import is_first_start
from pacer.editing.kept_lessons import KeptLessons
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.log.day_records import DayRecords
from pacer.paths import template_folder
from pacer.plan.kinds import use_kinds
from pacer.plan.outline import Outline
from pacer.qt.daily_copy import DailyCopy
from pacer.qt.kit.setting_fields import keep
from pacer.qt.kit.widgets import application
from pacer.qt.pages import Pages
from pacer.qt.screens.before_room import BeforeRoom
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.today.page import TodayPage
from pacer.run.clock import SystemClock, local_now
from pacer.settings.folders import Folders
from pacer.settings.planned_days import PlannedDaysStore, own_name
from pacer.settings.store import SettingsStore

if TYPE_CHECKING:
    from pacer.editing.dates.week_facts import WeekFacts
    from pacer.frames.ready import RoomFacts
    from pacer.qt.lesson.lesson import Lesson
    from pacer.qt.lesson.room import Room
    from pacer.run.events import Mode

WARM_UP_MS = 150
FIRST_TEMPLATE = template_folder() / "number-line-75.toml"
NOTE_MS = 400  # after a lesson began
COPY_MS = 5000  # after the window is there: the day's copy of the records waits for everything else


class Program(QObject):
    """The running program: settings, day records, the private window and the room.

    ``warm`` comes when all is loaded that a lesson needs.
    """

    warm = Signal()

    def __init__(self, where: Folders, *, demo: bool = False) -> None:
        super().__init__()
        self._where = where
        self._demo = demo
        self._modes: tuple[Mode, ...] = ("demo",) if demo else ("live",)
        self._clock = SystemClock()
        self.settings = SettingsStore(where.settings_file, self._clock)
        use_kinds(self.settings.now.kinds, self.settings.now.reviewing_cap_s)
        self.kept = KeptLessons(where, self._clock, self._modes, self._complain_on_today)
        self.copying = DailyCopy(self._clock, self)
        self.planned = PlannedDaysStore(where.planned_days_file, self._clock)
        self._outlines = PlannedOutlines(where.outlines)
        self._taught = Taught(self.kept.now, self.planned.taught_name, demo=demo)
        self._left = UnitLeft(self.kept.now)
        day = self.lesson_day = LessonDay(self.settings, self.planned, self._taught.on, self._outlines.title)
        self.today = TodayPage(where.outlines, self.settings, self._clock, day)
        self.window = MainWindow(self.today, demo=demo)
        self._room: Room | None = None
        self._before_room = BeforeRoom(self.window, lambda: self.settings.now.rooms, self)
        self.first_group = FirstGroup(self.kept.now, self._modes)
        self._carried = CarriedOver(self.kept.now)
        self.pages = Pages(
            self.window, where, self._clock, self.settings, self.kept.now, self.kept.past,
            self._modes, self.today.chosen_path, self.first_group,
            self._carried, self._week_facts, self,
        )  # fmt: skip
        self._connect()
        notices = self.settings.notice, self.kept.notice, self.planned.notice, self.today.notice.text()
        self.today.show_notice("\n".join(filter(None, notices)))
        self._offer_resume()

    def _connect(self) -> None:
        self.settings.subscribe(self._tell_unsaved)
        self.planned.subscribe(self._on_planned)
        self.today.as_taught = self._as_taught
        self.copying.failed.connect(self._tell_more)
        self.today.start_asked.connect(self.start_now)
        self.today.ready_asked.connect(self.get_ready)
        self.today.rehearse_asked.connect(self.rehearse)
        self.today.ready_panel.look = self._room_facts
        self.today.resume_asked.connect(self.resume)
        self.today.close_asked.connect(self.close_unfinished)
        self.pages.screens_asked.connect(self._ask_screens)
        self.pages.card_asked.connect(self._ask_card)
        self.pages.outline_saved.connect(self._on_outline_saved)
        self.pages.outlines_moved.connect(self._on_outlines_moved)
        self.pages.teach_asked.connect(self._on_teach)
        self.pages.paper_asked.connect(self._on_paper)
        self.today.mend_asked.connect(self.pages.mend)
        self.today.write_asked.connect(self.pages.write_new)
        self.pages.template_asked.connect(self._begin_with_template)
        self.window.closing.connect(self._on_closing)
        self._before_room.room_wanted.connect(self._on_room_wanted)

    def show(self) -> None:
        """Show the private window, as large as its screen; then make ready what a lesson needs."""
        if self._room is None:
            self._before_room.begin()
        self.window.showMaximized()
        if is_first_start(self._where, self.settings.now, self.kept) and not self.today.notice.text():
            self.pages.ask_how_to_begin()
        else:
            self.today.focus_first()
        QTimer.singleShot(WARM_UP_MS, self, self._warm_up)
        QTimer.singleShot(COPY_MS, self, self.copy_records)

    def _begin_with_template(self) -> None:
        """The first lesson of all: a template of a whole block, ready to start."""
        if FIRST_TEMPLATE.exists():
            self.today.choose(FIRST_TEMPLATE)
        self.today.focus_first()

    @property
    def records(self) -> DayRecords | None:
        """The day records; None where there are none."""
        return self.kept.records

    @property
    def room(self) -> "Room":
        """The windows of a lesson, imported and made when first wanted."""
        return self._room or self._make_room()

    def _on_room_wanted(self) -> None:
        try:
            _made = self.room
        except Exception:
            from pacer.qt.screens.first_cover import say_not_made

            say_not_made(self.window)
            raise  # to the reports of faults

    def _make_room(self) -> "Room":
        from pacer.qt.lesson.room import Room

        room = self._room = Room(self.window, self)
        room.rooms = self.settings.now.rooms
        keep(room.rooms_changed, self.settings, "rooms")  # which screen the class sees
        room.left.connect(self._on_left)
        room.wall_placed.connect(self._fit_look)
        self._before_room.end()
        return room

    def _warm_up(self) -> None:
        """Make the room before it is wanted, so that Start is not the press that waits."""
        if self.window.isVisible():
            self.room.make_ready()
            QTimer.singleShot(WARM_UP_MS * 4, self, self._warm_care)
        else:
            self.warm.emit()

    def _warm_care(self) -> None:
        """Load what looks after the laptop in a lesson while nobody waits, and make room for its events.

        A lesson runs without either.
        """
        for name in ("psutil", "wakepy"):
            with suppress(ImportError):
                import_module(name)
        if self.records is not None and not self.room.is_taken:
            self.records.make_room()
        self.warm.emit()

    def copy_records(self) -> None:
        """Make the day's copy of the day records if it is due; never in a lesson, never of a demo's."""
        if not self._demo and (self._room is None or not self._room.is_taken):
            self.copying.make(self.records)

    def _tell_more(self, text: str) -> None:
        """Tell something on Today beside what is told there already."""
        told = self.today.notice.text()
        self.today.show_notice("\n".join(dict.fromkeys(filter(None, (told, text)))))

    def get_ready(self, outline: Outline, *, rehearsal: bool = False) -> "Lesson | None":
        """Put the title on the Wall; the lesson starts at a key. A rehearsal has the Desk only."""
        from pacer.qt.lesson.lesson import Lesson
        from pacer.run.session import Session

        if not self._may_begin():
            return None
        outline = self._as_taught(outline)
        # Naive local times: a plan names clock times of this room.
        now = local_now(self._clock)
        planned = now if rehearsal else self.today.planned_start(outline, now)
        session = Session(self._clock, self.kept.journal())
        lesson = Lesson(
            session,
            outline,
            self._clock,
            self.settings.now,
            planned_utc_ms=None if planned == now else round(planned.timestamp() * 1000),
            utc_offset_s=_utc_offset_s(now),
            mode="rehearsal" if rehearsal else _class_mode(self._demo, self.settings.now.baseline),
            shape=self.today.day_row.shape_name,
            foresee=self.kept.foresee(),
            parent=self,
        )
        path = self.today.chosen_path()
        if path is not None and not rehearsal:
            # Only the records are written before the class sees the lesson begin.
            note = partial(self._note_taught, lesson, path)
            lesson.started.connect(lambda: QTimer.singleShot(NOTE_MS, lesson, note))
        return lesson if self._enter(lesson, desk_only=rehearsal) else None

    def _note_taught(self, lesson: "Lesson", path: Path) -> None:
        """Note which outline a lesson is of: its day record has only the title that it bears today."""
        name = own_name(path, self._where.outlines)
        if name and path.exists():  # else it was renamed or put away since, and goes by its title
            self.planned.was_taught((lesson.session.events[0].utc_ms,), name)

    def _week_facts(self, note: TomorrowNote) -> "WeekFacts":
        """Where the page Week asks."""
        from pacer.editing.dates.week_facts import WeekFacts

        return WeekFacts(
            self.settings, self.planned, self._outlines, self._taught, self.lesson_day, self._carried, note,
            self._as_taught, self._left,
        )  # fmt: skip

    def _as_taught(self, outline: Outline) -> Outline:
        """An outline with what earlier lessons leave to it: which group goes first, lines for the table."""
        self._carried.forget()
        return self._carried.taught(self.first_group.taught(outline))

    def _may_begin(self, *, going_on: bool = False) -> bool:
        """Whether no lesson is on the screens, and none that was cut off waits: none begins over another."""
        if self._room is not None and self._room.is_taken:
            return False
        if going_on or not self.kept.has_cut_off():
            return True
        self._offer_resume()
        return False

    def _enter(self, lesson: "Lesson", *, desk_only: bool) -> bool:
        self.copying.give_way()  # the disk is the lesson's; the copy is made after it
        entered = self.room.enter(lesson, desk_only=desk_only)
        self._fit_look()
        return entered

    def _fit_look(self) -> None:
        """Fit the Wall's sizes to the picture that its screen makes, where its height can be known."""
        from pacer.frames.back_row import look_of
        from pacer.qt.classroom.back_row_card import reported_height_mm

        lesson, screen = self.room.lesson, self.room.wall.screen
        if lesson is not None and screen is not None:
            look = look_of(self.settings.now, reported_height_mm(screen))
            if look != lesson.look:
                lesson.look = look
                lesson.refresh()

    def start_now(self, outline: Outline, *, rehearsal: bool = False) -> None:
        lesson = self.get_ready(outline, rehearsal=rehearsal)
        if lesson is not None:
            lesson.start()

    def rehearse(self, outline: Outline) -> None:
        """Run a lesson alone, flagged and on the Desk only."""
        self.start_now(outline, rehearsal=True)

    def resume(self) -> None:
        """Go on with the lesson that was cut off; the time away counts."""
        from pacer.qt.lesson.lesson import Lesson

        went_on = self.kept.go_on() if self._may_begin(going_on=True) else None
        if went_on is None:
            return
        session, foresee = went_on
        state = session.state
        lesson = Lesson(
            session, state.plan, self._clock, self.settings.now,
            utc_offset_s=state.utc_offset_s, foresee=foresee, parent=self,
        )  # fmt: skip
        if self._enter(lesson, desk_only=state.mode == "rehearsal"):
            self.today.offer_resume("")

    def close_unfinished(self) -> None:
        """End the lesson that was cut off at the last thing that is known of it."""
        if self._may_begin(going_on=True):
            self.kept.close_cut_off()
        self._offer_resume()

    def _offer_resume(self) -> None:
        self.today.offer_resume(self.kept.cut_off_words())

    def _on_left(self) -> None:
        """After a lesson comes Look back; another one that was cut off is offered still."""
        self._offer_resume()
        self.pages.show_look_back()
        self.copy_records()

    def _on_outline_saved(self, path: Path) -> None:
        """What was written last is what Today offers, unless its date has a plan."""
        if self.today.follows_plan:
            self.today.reload()
        else:
            self.today.choose(path)

    def _on_outlines_moved(self, old: Path | None, new: Path | None) -> None:
        """What was chosen on Today stays chosen under its new name."""
        if new is not None and old == self.today.shelf.wanted:
            self.today.choose(new)
        else:
            self.today.reload()

    def _on_teach(self, path: Path) -> None:
        """Choose an outline on Today, and show it there."""
        self.today.choose(path)
        self.window.show_today()
        self.today.focus_first()

    def _on_paper(self, path: Path) -> None:
        """Print the card of an outline, as Today does with the one that is chosen there."""
        before = self.today.shelf.wanted
        self.today.choose(path)
        self.today.show_notice("")
        self.today.card_button.click()
        if self.pages.library is not None:
            self.pages.library.tell(self.today.notice.text())
        self.today.choose(before)

    def _room_facts(self, day: str, problems: tuple[str, ...] | None) -> "RoomFacts":
        """What can be seen of the room for the ready list."""
        from pacer.qt.lesson.room_facts import room_facts

        tried = self.pages.room is not None and bool(self.pages.room.keys.presses)
        rooms = self.settings.now.rooms
        return room_facts(self.window, rooms, day, problems, records=self.records, keys_tried=tried)

    def _ask_screens(self) -> None:
        """Ask which screen the class sees; the answer is kept as it comes."""
        self.room.ask_screens()

    def _ask_card(self) -> None:
        """Ask which screen has the Desk card; the answer is kept as it comes."""
        self.room.ask_card()

    def shut(self) -> None:
        """Close what is open. A lesson under way can be gone on with at the next start."""
        self.pages.shut()
        if self._room is not None:
            self._room.shut()
        self.copying.give_way()
        self.copying.wait()
        self.kept.close()
        self.window.hide()  # else Qt hides it at the end of all, when half of what is on it has gone

    def _on_closing(self, event: QCloseEvent) -> None:
        room = self._room
        # A computer that shuts down is never held up, and a demo keeps nothing that could be promised.
        at_once = self._demo or is_shutting_down()
        if room is not None and not (room.may_stop() if at_once else room.may_close()):
            event.ignore()
            return
        self.shut()

    def _complain_on_today(self, text: str) -> None:
        self.today.show_notice(text)

    def complain(self, text: str) -> None:
        """Tell the teacher about a fault of the program, privately."""
        self.today.show_notice(text)
        if self._room is not None and self._room.lesson is not None:
            self._room.tell(text)

    def _on_planned(self) -> None:
        """Another outline may be planned for the date that Today stands for."""
        self.today.refresh_block()
        if self.planned.trouble:
            self.today.show_notice(self.planned.trouble)

    def _tell_unsaved(self) -> None:
        if self.settings.trouble:
            self.today.show_notice(self.settings.trouble)


def _class_mode(demo: bool, baseline: bool) -> "Mode":
    """What kind of lesson one before a class is."""
    return "demo" if demo else "baseline" if baseline else "live"


def _utc_offset_s(local: datetime) -> int:
    offset = local.astimezone().utcoffset()
    return 0 if offset is None else round(offset.total_seconds())


def is_shutting_down() -> bool:
    """Whether the session of this computer ends, so that every window is being closed."""
    return application().isSavingSession()
