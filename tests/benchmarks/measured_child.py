"""Programs that the benchmarks start as children: a bare label window, and Pacer with a probe in it.

Each prints one JSON object. Times are seconds. Run with Qt's offscreen platform or on an X server.
"""

import json
import sys
import time
from pathlib import Path

SETTLED_MS = 3000


def bare_label(seconds: float, *, all_screens: bool = False) -> None:
    """The smallest PySide6 program with a window: a label; with ``seconds`` its text changes each second.

    With ``all_screens`` there is one on each screen: two windows that change, and do nothing else.
    """
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication, QLabel

    application = QApplication(sys.argv[:1])
    if not seconds:
        label = QLabel("0:00")
        _report_first_paint(label)
        label.show()
        application.exec()
        return
    labels = []
    for screen in application.screens()[0 if all_screens else -1 :]:
        label = QLabel("0:00")
        label.setScreen(screen)
        label.setGeometry(screen.geometry())
        label.showFullScreen()
        labels.append(label)

    def change() -> None:
        text = time.strftime("%H:%M:%S")
        for label in labels:
            label.setText(text)

    timer = QTimer()
    timer.timeout.connect(change)
    timer.start(1000)
    _measure_cpu(application, seconds)


def pacer_start(folder: str) -> None:
    """Pacer itself, from its entry module to the first paint of its window."""
    from pacer.__main__ import without_needless_work  # what the installed command imports and does first
    from pacer.text import use_language

    use_language()
    without_needless_work()
    from pacer.qt import app, start

    show = app.Program.show

    def probed(program: app.Program) -> None:
        _report_first_paint(program.window)
        show(program)

    app.Program.show = probed  # type: ignore[method-assign]
    start.run_app(Path(folder), demo=False)


def bare_minutes(minutes: float) -> None:
    """A label that shows as many seconds as a lesson of so many minutes, one right after the other."""
    from PySide6.QtWidgets import QApplication, QLabel

    application = QApplication(sys.argv[:1])
    label = QLabel("0:00")
    label.setGeometry(application.screens()[-1].geometry())
    label.showFullScreen()

    def show(second: int) -> None:
        label.setText(f"{second // 60}:{second % 60:02}")
        application.processEvents()

    show(0)
    say(rss_mib=_rss_by_minute(round(minutes), show))


def pacer_minutes(folder: str, minutes: float) -> None:
    """The seconds of so many minutes of a lesson, one right after the other; a press every four minutes."""
    from dataclasses import replace

    from pacer.qt import app

    passed_ms = 0

    class Hurried(app.SystemClock):
        def now(self):
            now = super().now()
            return replace(now, mono_ms=now.mono_ms + passed_ms, utc_ms=now.utc_ms + passed_ms)

    app.SystemClock = Hurried  # type: ignore[misc]

    def run(program, application) -> None:
        lesson = program.room.lesson

        def show(second: int) -> None:
            nonlocal passed_ms
            passed_ms += 1000
            lesson.refresh()
            if second % 240 == 239:
                lesson.press("next")
            application.processEvents()

        say(rss_mib=_rss_by_minute(round(minutes), show))

    with_lesson(folder, run)


def _rss_by_minute(minutes: int, show) -> list[float]:
    """Resident memory before the first second is shown and after each minute."""
    import psutil

    process = psutil.Process()
    found = [process.memory_info().rss / 2**20]
    for second in range(minutes * 60):
        show(second)
        if second % 60 == 59:
            found.append(process.memory_info().rss / 2**20)
    return found


def pacer_counting(folder: str, seconds: float) -> None:
    """A lesson under way; reports the processor time it took. One screen: only the Wall is shown."""

    def run(_program, application) -> None:
        _measure_cpu(application, seconds)

    with_lesson(folder, run)


def pacer_seconds(folder: str, seconds: float) -> None:
    """A lesson under way; reports how late each displayed second was painted (negative: early)."""

    def run(program, application) -> None:
        from PySide6.QtCore import QTimer

        canvas, session = program.room.wall.full, program.room.lesson.session
        late = []
        shown = {"digits": canvas.frame.digits}

        def after_paint() -> None:
            if canvas.frame.digits == shown["digits"]:
                return
            shown["digits"] = canvas.frame.digits
            minutes, rest = canvas.frame.digits.split(":")
            late.append(((int(minutes) * 60 + int(rest)) * 1000 - _exact_left_ms(session)) / 1000)

        probe = _PaintProbe(canvas, after_paint)
        QTimer.singleShot(round(seconds * 1000), application, lambda: application.exit(0))
        application.exec()
        canvas.removeEventFilter(probe)
        say(late=late)

    with_lesson(folder, run)


def pacer_presses(folder: str, count: float) -> None:
    """Keys pressed in a lesson; reports how long each took to be on disk and on the Wall."""

    def run(program, application) -> None:
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest

        room = program.room
        canvas, desk = room.wall.full, room.desk
        # Jumps: each changes the Wall, and the same one comes back only after the double-press guard.
        names = [Qt.Key.Key_3, Qt.Key.Key_4, Qt.Key.Key_5, Qt.Key.Key_1, Qt.Key.Key_2]
        ctrl = Qt.KeyboardModifier.ControlModifier
        took = []
        QTest.qWait(SETTLED_MS)
        for number in range(int(count)):
            QTest.qWait(360)  # the Wall holds large changes that come sooner
            events, paints = len(room.lesson.session.events), canvas.paints
            begin = time.perf_counter()
            QTest.keyPress(desk, names[number % len(names)], ctrl)
            while canvas.paints == paints and time.perf_counter() - begin < 1:
                application.processEvents()
            took.append(time.perf_counter() - begin)
            QTest.keyRelease(desk, names[number % len(names)], ctrl)
            on_disk = program.records.events(program.records.runs()[0].id)
            if len(room.lesson.session.events) == events or len(on_disk) != len(room.lesson.session.events):
                say(fault=f"press {number} was not followed or is not on disk")
                return
        say(took=took)

    with_lesson(folder, run)


def _exact_left_ms(session) -> float:
    """Milliseconds left in the running phase, to the microsecond, apart from the program's own rounding."""
    from pacer.pace.cut import cut

    state = session.state
    event = session.events[0]
    now_ms = time.clock_gettime_ns(time.CLOCK_BOOTTIME) / 1e6 - event.mono_ms
    return cut(state).allotted_s * 1000 - (now_ms - state.visit.begin_ms)


def _not_the_private_one(_window, screens, private):
    return next(screen for screen in screens if screen != private)


def with_lesson(folder: str, run) -> None:
    from pacer.__main__ import without_needless_work

    without_needless_work()
    from PySide6.QtWidgets import QApplication

    from pacer.plan.file.reader import read_outline
    from pacer.qt.app import Program
    from pacer.qt.kit.collecting import collecting
    from pacer.qt.screens import number_cards
    from pacer.qt.screens import questions as dialogs
    from pacer.settings.folders import folders
    from pacer.settings.model import Settings
    from pacer.settings.store import save_settings
    from tests.qt.style_factories import dress

    if "wall only" in sys.argv:
        # One screen: the teacher has answered that children see it.
        dialogs.OneScreenQuestion.ask = staticmethod(lambda _parent: dialogs.OneScreen.WALL_ONLY)
    # Two screens: she has answered that they see the other one.
    number_cards.NumberCards.ask = staticmethod(_not_the_private_one)
    application = QApplication(sys.argv[:1])
    dress(application)
    where = folders(Path(folder))
    # The hour of the day must not make the measured lesson a late one.
    save_settings(
        where.settings_file, Settings(start_when_pressed=True, reduced_motion="no fades" in sys.argv)
    )
    program = Program(where)
    program.warm.connect(collecting().settle)  # as the start does
    program.show()
    # Nobody starts a lesson in the first second of the program, in which it loads what a lesson needs.
    _spin(application, 2.0)
    outline = read_outline(Path(__file__).parents[2] / "lesson_templates" / "number-line-75.toml")
    program.close_unfinished()  # an earlier take left its lesson, and none starts over it
    program.start_now(outline)
    room = program.room
    if not room.wall.full.isVisible():
        say(fault="the Wall is not shown; are there two screens?")
        return
    room.lesson.press("next")
    _spin(application, 0.8)  # the Wall holds a large change that comes so soon after the first
    run(program, application)
    program.shut()


def _spin(application, seconds: float) -> None:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        application.processEvents()
        time.sleep(0.005)


def _measure_cpu(application, seconds: float) -> None:
    import psutil
    from PySide6.QtCore import QTimer

    process = psutil.Process()
    seen = {}

    def begin() -> None:
        process.memory_info()
        seen["begin"], seen["waits"] = time.process_time(), _waits()

    def end() -> None:
        woken = {name: count - seen["waits"].get(name, 0) for name, count in _waits().items()}
        say(
            cpu=time.process_time() - seen["begin"],
            rss_mib=process.memory_info().rss / 2**20,
            wakeups={name: count / seconds for name, count in woken.items()},
        )
        application.exit(0)  # quit would ask the windows, and a lesson is kept at the first close

    # What a lesson loads in its first seconds is no part of what it takes to count.
    QTimer.singleShot(SETTLED_MS, application, begin)
    QTimer.singleShot(SETTLED_MS + round(seconds * 1000), application, end)
    application.exec()


def _waits() -> dict[str, int]:
    """How often each thread has gone to wait so far, by its name and number: proc_pid_status(5)."""
    found = {}
    for task in Path("/proc/self/task").iterdir():
        lines = dict(line.split(":", 1) for line in (task / "status").read_text().splitlines())
        found[f"{lines['Name'].strip()} {task.name}"] = int(lines["voluntary_ctxt_switches"])
    return found


def _report_first_paint(widget) -> None:
    from PySide6.QtWidgets import QApplication

    def painted() -> None:
        say(first_paint=time.monotonic())
        QApplication.quit()

    _PaintProbe(widget, painted)


def say(**found) -> None:
    print(json.dumps(found), flush=True)


def _PaintProbe(widget, after_paint):  # noqa: N802 - makes an object whose class needs Qt, imported late
    from PySide6.QtCore import QEvent, QObject

    class Probe(QObject):
        def eventFilter(self, _watched, event) -> bool:  # noqa: N802 - Qt's name
            if event.type() != QEvent.Type.UpdateRequest:
                return False
            # The widget paints while it handles this event, so what follows is after the paint.
            widget.removeEventFilter(self)
            widget.event(event)
            widget.installEventFilter(self)
            after_paint()
            return True

    probe = Probe(widget)
    widget.installEventFilter(probe)
    return probe


if __name__ == "__main__":
    what, *rest = sys.argv[1:]
    {
        "bare-start": lambda: bare_label(0),
        "bare-counting": lambda: bare_label(float(rest[1]), all_screens="all screens" in rest),
        "bare-minutes": lambda: bare_minutes(float(rest[1])),
        "pacer-minutes": lambda: pacer_minutes(rest[0], float(rest[1])),
        "pacer-start": lambda: pacer_start(rest[0]),
        "pacer-counting": lambda: pacer_counting(rest[0], float(rest[1])),
        "pacer-seconds": lambda: pacer_seconds(rest[0], float(rest[1])),
        "pacer-presses": lambda: pacer_presses(rest[0], float(rest[1])),
    }[what]()
