"""Programs that the benchmarks start as children: a bare label window, and Pacer with a probe in it.

Each prints one JSON object. Times are seconds. Run with Qt's offscreen platform or on an X server.
"""

import json
import sys
import time
from pathlib import Path

BEGAN = time.monotonic()


def bare_label(seconds: float) -> None:
    """The smallest PySide6 program with a window: a label; with ``seconds`` its text changes each second."""
    from PySide6.QtCore import QTimer
    from PySide6.QtWidgets import QApplication, QLabel

    application = QApplication(sys.argv[:1])
    label = QLabel("0:00")
    probe = _PaintProbe(label)
    if not seconds:
        label.show()
        probe.quit_after_first = True
        application.exec()
        _say(first_paint=probe.first)
        return
    screens = application.screens()
    label.setScreen(screens[-1])
    label.setGeometry(screens[-1].geometry())
    label.showFullScreen()
    timer = QTimer()
    timer.timeout.connect(lambda: label.setText(time.strftime("%H:%M:%S")))
    timer.start(1000)
    _measure_cpu(application, seconds)


def pacer_start(folder: str) -> None:
    """Pacer itself, from its entry module to the first paint of its window."""
    import pacer.__main__  # noqa: F401 - what the installed command imports first
    from pacer.text import use_language

    use_language()
    from pacer.qt import app

    show = app.Program.show

    def probed(program: app.Program) -> None:
        program.probe = _PaintProbe(program.window)  # type: ignore[attr-defined]
        program.probe.quit_after_first = True
        show(program)
        program.probe.report = True

    app.Program.show = probed  # type: ignore[method-assign]
    app.run_app(Path(folder), demo=False)


def pacer_counting(folder: str, seconds: float) -> None:
    """A lesson under way on two screens; reports the processor time it took."""
    _with_lesson(folder, lambda program, application: _measure_cpu(application, seconds))


def pacer_seconds(folder: str, seconds: float) -> None:
    """A lesson under way; reports how late each displayed second was painted (never early is negative)."""

    def run(program, application) -> None:
        from PySide6.QtCore import QTimer

        room, late = program.room, []
        canvas, session = room.wall.full, room.lesson.session
        paint = type(canvas).paintEvent
        shown = {"digits": canvas.frame.digits}

        def probed(self, event) -> None:
            paint(self, event)
            if self is canvas and self.frame.digits != shown["digits"]:
                shown["digits"] = self.frame.digits
                # The boundary is where the whole second was reached, on the clock itself.
                left_ms = _exact_left_ms(session)
                minutes, rest = self.frame.digits.split(":")
                late.append(((int(minutes) * 60 + int(rest)) * 1000 - left_ms) / 1000)

        type(canvas).paintEvent = probed
        QTimer.singleShot(round(seconds * 1000), application, application.quit)
        application.exec()
        _say(late=late)

    _with_lesson(folder, run)


def pacer_presses(folder: str, count: float) -> None:
    """Keys pressed in a lesson; reports how long each took to be on disk and on the Wall."""

    def run(program, application) -> None:
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest

        room = program.room
        canvas, desk = room.wall.full, program.window.desk
        names = [Qt.Key.Key_Up, Qt.Key.Key_Space, Qt.Key.Key_H, Qt.Key.Key_Down, Qt.Key.Key_B, Qt.Key.Key_Space]
        took = []
        for number in range(int(count)):
            QTest.qWait(90)
            events, paints = len(room.lesson.session.events), canvas.paints
            begin = time.perf_counter()
            QTest.keyPress(desk, names[number % len(names)])
            while canvas.paints == paints and time.perf_counter() - begin < 1:
                application.processEvents()
            took.append(time.perf_counter() - begin)
            QTest.keyRelease(desk, names[number % len(names)])
            on_disk = program.records.events(program.records.runs()[0].id)
            if len(room.lesson.session.events) == events or len(on_disk) != len(room.lesson.session.events):
                _say(fault=f"press {number} was not followed or is not on disk")
                return
        _say(took=took)

    _with_lesson(folder, run)


def _exact_left_ms(session) -> float:
    """Milliseconds left in the running phase, to the microsecond, apart from the program's own rounding."""
    from pacer.pace.cut import cut

    state = session.state
    event = session.events[0]
    now_ms = time.monotonic_ns() / 1e6 - event.mono_ms
    return cut(state).allotted_s * 1000 - (now_ms - state.visit.begin_ms)


def _with_lesson(folder: str, run) -> None:
    from PySide6.QtWidgets import QApplication

    from pacer.plan.reader import read_outline
    from pacer.qt.app import Program
    from pacer.qt.style import dress
    from pacer.settings.folders import folders

    application = QApplication(sys.argv[:1])
    dress(application)
    program = Program(folders(Path(folder)))
    program.show()
    outline = read_outline(Path(__file__).parents[2] / "lesson_templates" / "number-line-75.toml")
    program.start_now(outline)
    room = program.room
    if not room.wall.full.isVisible():
        _say(fault="the Wall is not shown; are there two screens?")
        return
    room.lesson.press("next")
    for _ in range(50):
        application.processEvents()
    run(program, application)
    program.shut()


def _measure_cpu(application, seconds: float) -> None:
    import psutil
    from PySide6.QtCore import QTimer

    process = psutil.Process()
    seen = {}

    def begin() -> None:
        seen["begin"] = time.process_time()

    def end() -> None:
        _say(cpu=time.process_time() - seen["begin"], rss_mib=process.memory_info().rss / 2**20)
        application.quit()

    QTimer.singleShot(1500, application, begin)
    QTimer.singleShot(1500 + round(seconds * 1000), application, end)
    application.exec()


def _say(**found) -> None:
    print(json.dumps(found), flush=True)


def _PaintProbe(widget):  # noqa: N802 - makes an object whose class needs Qt, imported late
    from PySide6.QtCore import QEvent, QObject
    from PySide6.QtWidgets import QApplication

    class Probe(QObject):
        first = 0.0
        quit_after_first = False
        report = False

        def eventFilter(self, _watched, event) -> bool:
            if event.type() == QEvent.Type.UpdateRequest and not self.first:
                # UpdateRequest is handled by painting the window; what follows it is after the paint.
                widget.removeEventFilter(self)
                widget.event(event)
                self.first = time.monotonic()
                if self.report:
                    _say(first_paint=self.first)
                if self.quit_after_first:
                    QApplication.quit()
                return True
            return False

    probe = Probe(widget)
    widget.installEventFilter(probe)
    return probe


if __name__ == "__main__":
    what, *rest = sys.argv[1:]
    {
        "bare-start": lambda: bare_label(0),
        "bare-counting": lambda: bare_label(float(rest[1])),
        "pacer-start": lambda: pacer_start(rest[0]),
        "pacer-counting": lambda: pacer_counting(rest[0], float(rest[1])),
        "pacer-seconds": lambda: pacer_seconds(rest[0], float(rest[1])),
        "pacer-presses": lambda: pacer_presses(rest[0], float(rest[1])),
    }[what]()
