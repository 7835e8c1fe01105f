"""The Desk: the private view of a running lesson, painted from a DeskFrame."""

from PySide6.QtCore import QEvent, QRect, QSize, Qt, QTimer, QVariantAnimation
from PySide6.QtGui import (
    QAccessible,
    QAccessibleAnnouncementEvent,
    QGuiApplication,
    QHideEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QResizeEvent,
)
from PySide6.QtWidgets import QWidget

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.band import lay_band, paint_band
from pacer.qt.desk.changes import changed_desk_area, rects_of
from pacer.qt.desk.layout import FAR_SHARE, desk_layout
from pacer.qt.desk.painter import paint_desk
from pacer.qt.desk.sheet import Sheet, paint_sheet
from pacer.qt.desk.targets import Targets
from pacer.qt.kit.widgets import KeysFirst
from pacer.text import _

FADE_MS = 400


class DeskView(KeysFirst):
    """Paints a DeskFrame; says loudly when the keys go to another program."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setAccessibleName(_("Desk"))
        self.setMouseTracking(True)
        self.targets = Targets(self)
        self.targets.changed.connect(self._on_targets)
        self._frame = DeskFrame("ready", "", 0)
        self._notice = self._answer = ""
        self._sheet: Sheet | None = None
        self._answered = QTimer(self)
        self._answered.setSingleShot(True)
        self._answered.timeout.connect(self.forget_answer)
        self._keys_elsewhere = False
        self.paints = 0
        self.reduced_motion = False
        self._before: DeskFrame | None = None
        self._fade = QVariantAnimation(self)
        self._fade.setStartValue(0.0)
        self._fade.setEndValue(1.0)
        self._fade.setDuration(FADE_MS)
        self._fade.valueChanged.connect(self._on_fade)
        application = QGuiApplication.instance()
        assert isinstance(application, QGuiApplication)
        application.applicationStateChanged.connect(self._on_application_state)

    @property
    def frame(self) -> DeskFrame:
        """The frame shown now."""
        return self._frame

    @property
    def loud(self) -> str:
        """What is the matter and stays so: keys elsewhere first, then what was last told."""
        if self._keys_elsewhere:
            return _("Keys go to another program. Click here.")
        return self._notice

    @property
    def answered(self) -> str:
        """The answer to the last press, while it is shown."""
        return "" if self._keys_elsewhere else self._answer

    @property
    def sheet(self) -> Sheet | None:
        """What lies over the lower part because it was asked for."""
        return self._sheet

    @property
    def far_size(self) -> QSize:
        """The size of the far page."""
        return QSize(round(self.width() * FAR_SHARE), self.height())

    @property
    def band(self) -> QRect:
        """Where the answer lies, or what is the matter."""
        words, stays = self._banded
        return lay_band(words, self.far_size, stays=stays).rect.toAlignedRect()

    @property
    def _banded(self) -> tuple[str, bool]:
        """The words over the last rows, and whether they stay."""
        return self.answered or self.loud, not self.answered

    def show_frame(self, frame: DeskFrame) -> None:
        """Show another frame; an equal one paints nothing."""
        if frame == self._frame:
            return
        old, self._frame = self._frame, frame
        if _turn_of(old) != _turn_of(frame):
            self.setAccessibleDescription(spoken(frame))
        if not self.isVisible():
            return
        if self.targets.are_shown and old.offers != frame.offers:
            self._on_targets()
        if (old.level, old.stage == "paused") != (frame.level, frame.stage == "paused"):
            self._begin_fade(old)
        if self._before is not None:
            self.update()
            return
        for rect in changed_desk_area(old, frame, self.size(), self.targets.foot):
            self.update(rect)

    def tell(self, notice: str) -> None:
        """Lay a notice over the Desk until another or an empty one comes."""
        if notice != self._notice:
            self._notice = notice
            self.update()
            if notice and self.isVisible():  # behind the curtain nothing private is heard either
                self.announce(notice)

    def answer(self, words: str, shown_ms: int) -> None:
        """Answer a press for a while, large; the next answer comes in its place at once."""
        self._answer = words
        self._answered.start(shown_ms)
        self.update()
        if self.isVisible():
            self.announce(words)

    def forget_answer(self) -> None:
        """Take the answer away."""
        self._answered.stop()
        if self._answer:
            self._answer = ""
            self.update()

    def show_sheet(self, sheet: Sheet | None) -> None:
        """Lay a sheet over the lower part, or take it away."""
        if sheet != self._sheet:
            self._sheet = sheet
            self.update()
            if sheet is not None:
                self.targets.vanish()  # they would lie over its words
            if sheet is not None and self.isVisible():
                self.announce(sheet.spoken)

    def announce(self, text: str) -> None:
        """Let a screen reader say something now."""
        QAccessible.updateAccessibility(QAccessibleAnnouncementEvent(self, text))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Paint the part that is asked for."""
        self.paints += 1
        with QPainter(self) as painter:
            fade = 1.0 if self._before is None else float(self._fade.currentValue())
            # One rectangle at a time: within a clip of several, Qt wakes threads to fill them.
            for rect in rects_of(event.region()):
                paint_desk(
                    painter, self.rect(), self._frame,
                    fade=fade, before=self._before, area=rect, foot=self.targets.foot,
                )  # fmt: skip
            if self._sheet is not None:
                paint_sheet(painter, self._sheet, self.size())
            words, stays = self._banded
            if words:
                paint_band(painter, words, self.far_size, stays=stays)

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        """Who takes the mouse may want to press something with it."""
        super().mouseMoveEvent(event)
        if self._sheet is None:
            self.targets.moved_to(event.globalPosition().toPoint())

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A finger comes as a press without a movement before; a sheet gives way to the targets."""
        super().mousePressEvent(event)
        self.show_sheet(None)
        self.targets.appear()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The targets have their place by the window's size."""
        super().resizeEvent(event)
        self._on_targets()

    def hideEvent(self, event: QHideEvent) -> None:
        """When the Desk comes back its targets wait for a hand again."""
        super().hideEvent(event)
        self.targets.vanish()
        self.forget_answer()
        self.show_sheet(None)

    def _on_targets(self) -> None:
        made = desk_layout(self._frame, self.size(), self.targets.foot)
        self.targets.place(self._frame.offers, made.foot)
        self.update()

    def _begin_fade(self, old: DeskFrame) -> None:
        """The state's area changes in one quiet fade; nothing ever flashes."""
        self._fade.stop()
        self._before = None
        if not self.reduced_motion:
            self._before = old
            self._fade.start()

    def _on_fade(self, value: float) -> None:
        if value >= 1.0:
            self._before = None
        self.update()

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        elsewhere = state != Qt.ApplicationState.ApplicationActive
        if elsewhere != self._keys_elsewhere:
            self._keys_elsewhere = elsewhere
            self.update()

    def changeEvent(self, event: QEvent) -> None:
        """A language or font change needs a full repaint."""
        super().changeEvent(event)
        self.update()


def _turn_of(frame: DeskFrame) -> tuple[str, str, str, str]:
    """What a screen reader is told of when it changes; the seconds are not."""
    return frame.stage, frame.phase_id, frame.phase_title, frame.notice


def spoken(frame: DeskFrame) -> str:
    """The frame in words, for a screen reader."""
    parts = [frame.word, frame.phase_title, frame.number, frame.headline, frame.under, frame.notice]
    if frame.next_title:
        parts.append(_("Next: {title}").format(title=frame.next_title))
    return ". ".join(part for part in parts if part)
