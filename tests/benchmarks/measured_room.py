"""Children of test_room_figures: a large Wall, the strip, changing screens. Times in seconds."""

import sys
import time

from tests.benchmarks.measured_child import say, with_lesson


def wall_repaints(_folder: str, squares: float, count: float) -> None:
    """A Wall over the last screen: how long it takes to paint all of it, and what one second changes.

    Beside them the same for a bare widget of that size, which fills itself and draws the digits.
    """
    from PySide6.QtCore import QRect
    from PySide6.QtWidgets import QApplication

    from pacer.qt.wall.window import WallCanvas
    from tests.qt.style_factories import dress

    application = QApplication(sys.argv[:1])
    dress(application)
    whole, seconds, fades = [], [], []
    canvas, bare, bare_whole = WallCanvas(), _bare_digits(), []
    for widget in (bare, canvas):
        widget.setGeometry(application.screens()[-1].geometry())
    bare.show()
    canvas.show()
    left_s, paints = round(squares) * 60 - 7, canvas.paints
    canvas.show_frame(_wall_at(left_s, round(squares)))
    application.processEvents()
    if canvas.paints == paints or canvas.frame.digits is None:
        say(fault="the Wall paints nothing")
        return
    everything = QRect(0, 0, canvas.width(), canvas.height())
    for _ in range(round(count)):
        whole.append(_time_of(lambda: canvas.repaint(everything)))
        bare_whole.append(_time_of(bare.repaint))
    for _ in range(round(count)):
        left_s -= 1
        frame, paints = _wall_at(left_s, round(squares)), canvas.paints
        # From the new frame to the end of its paint: layout, what changed, and the paint itself.
        seconds.append(_time_of(lambda frame=frame: (canvas.show_frame(frame), _paint_now(canvas))))
        if canvas.paints != paints + 1:
            say(fault=f"one second took {canvas.paints - paints} paints")
            return
        # The steps of a fade are driven here: what its own clock asks for would fall between.
        canvas._fade.stop()
        while canvas._leaving > 0:
            canvas._on_fade(max(0.0, canvas._leaving - 0.25))
            fades.append(_time_of(lambda: _paint_now(canvas)))
    say(size=[canvas.width(), canvas.height()], whole=whole, bare=bare_whole, seconds=seconds, fades=fades)


def _paint_now(widget) -> None:
    """Paint what was asked for, as the event loop would at its next turn."""
    from PySide6.QtCore import QCoreApplication, QEvent

    QCoreApplication.sendPostedEvents(widget, QEvent.Type.UpdateRequest)


def _time_of(do) -> float:
    begin = time.perf_counter()
    do()
    return time.perf_counter() - begin


def _wall_at(left_s: int, squares: int):
    from pacer.frames.wall import WallFrame, squares_left
    from pacer.frames.words.wording import countdown

    full, fourths = squares_left(left_s * 1000)
    return WallFrame(
        "full", title="Guided practice", line="Problems 1–4 on your whiteboard", next_title="Look back",
        digits=countdown(left_s * 1000), full=full, fourths=fourths, whole=squares,
    )  # fmt: skip


def _bare_digits():
    from PySide6.QtCore import Qt
    from PySide6.QtGui import QPainter
    from PySide6.QtWidgets import QWidget

    from pacer.qt.kit import theme

    class Bare(QWidget):
        def paintEvent(self, _event) -> None:  # noqa: N802 - Qt's name
            with QPainter(self) as painter:
                painter.fillRect(self.rect(), theme.PAPER)
                painter.setPen(theme.INK)
                painter.setFont(theme.font(self.height() * 0.35, theme.BOLD))
                painter.drawText(self.rect(), Qt.AlignmentFlag.AlignCenter, "19:53")

    widget = Bare()
    widget.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
    return widget


def pacer_strips(folder: str, count: float) -> None:
    """The key that turns the Wall to a strip; how long from the press until the strip has been painted."""

    def run(program, application) -> None:
        from PySide6.QtCore import Qt
        from PySide6.QtTest import QTest

        room = program.room
        strip, desk, took = room.wall.strip, room.desk, []
        QTest.qWait(1000)  # large changes of the Wall keep a distance from each other, and it just came
        for _ in range(round(count)):
            QTest.qWait(450)  # the guard against double presses
            paints, begin = strip.paints, time.perf_counter()
            QTest.keyPress(desk, Qt.Key.Key_W)
            while strip.paints == paints and time.perf_counter() - begin < 2:
                application.processEvents()
            took.append(time.perf_counter() - begin)
            QTest.keyRelease(desk, Qt.Key.Key_W)
            if not strip.isVisible() or room.wall.full.isVisible():
                say(fault="the key does not turn the Wall to a strip")
                return
            QTest.qWait(450)
            room.lesson.press("wall", "full")
        say(took=took)

    with_lesson(folder, run)


def pacer_screen_changes(folder: str, count: float) -> None:
    """Screens that change under a lesson: which private frames are painted after each, and how long it takes.

    The pretended screens cannot be unplugged; they tell the program so as real ones do.
    """

    def run(program, application) -> None:
        from PySide6.QtCore import QEvent, QObject, Qt
        from PySide6.QtTest import QTest
        from PySide6.QtWidgets import QWidget

        room, window = program.room, program.window
        painted: list[tuple[str, float]] = []

        class Watch(QObject):
            def eventFilter(self, watched, event) -> bool:  # noqa: N802 - Qt's name
                if event.type() == QEvent.Type.Paint and isinstance(watched, QWidget):
                    painted.append(("Desk" if watched is room.desk else "curtain", time.perf_counter()))
                return False

        watch = Watch()
        for widget in (room.desk, window.curtain):
            widget.installEventFilter(watch)
        screen = application.screens()[-1]
        frames, took = [], []
        for number in range(round(count)):
            QTest.qWait(350)
            if not window.shows_desk:
                QTest.keyClick(window.curtain, Qt.Key.Key_Return)
                QTest.qWait(50)
            if not window.shows_desk:
                say(fault="the curtain does not lift")
                return
            # A second of the Desk waits to be painted when the change comes.
            room.desk.update()
            painted.clear()
            begin = time.perf_counter()
            if number % 2:
                application.primaryScreenChanged.emit(screen)
            else:
                screen.geometryChanged.emit(screen.geometry())
            while not any(what == "curtain" for what, _at in painted) and time.perf_counter() - begin < 2:
                application.processEvents()
            names = [what for what, _at in painted]
            frames.append(names.index("curtain") + 1 if "curtain" in names else None)
            took.append(painted[-1][1] - begin if painted else None)
        say(frames=frames, took=took)

    with_lesson(folder, run)


if __name__ == "__main__":
    what, folder, *numbers = sys.argv[1:]
    {"wall": wall_repaints, "strips": pacer_strips, "screen-changes": pacer_screen_changes}[what](
        folder, *map(float, numbers)
    )
