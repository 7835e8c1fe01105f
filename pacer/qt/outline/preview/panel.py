"""What the class will see of the chosen phase: a live picture of the Wall, arrows, what is wrong with it."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QImage, QPainter, QPaintEvent, QPen, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.frames.back_row import look_of
from pacer.frames.legibility import WIDE, SmallWords, known_height_mm, shapes_of
from pacer.frames.preview import PreviewFace, SeenFace, faces_of, seen, small_on
from pacer.frames.wall import PictureKey, WallFrame
from pacer.plan.bounded_file import UnreadableFileError
from pacer.plan.file.attachments import attached_file
from pacer.plan.outline import Outline
from pacer.qt.attachments.cache import PictureShelf
from pacer.qt.kit import theme
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, named, show_words
from pacer.qt.outline.preview.painted import is_title_cut, painted
from pacer.settings.model import Settings
from pacer.settings.store import SettingsStore
from pacer.text import _

LATE_MS = 300  # after the last change of the outline: nothing is painted while the teacher types
SOON_MS = 40  # after another row was chosen: a held arrow key paints only where it stops
LEAST_PX = 240


class WallPicture(QWidget):
    """The picture itself, as large as it fits, with a thin frame: it is a screen within the page."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("What the class will see"))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setMinimumWidth(LEAST_PX)
        self._high = WIDE[1] / WIDE[0]
        self.image: QImage | None = None

    def sizeHint(self) -> QSize:
        """A picture that words can be told in, as high as it is wide enough for."""
        wide = max(LEAST_PX, self.width())
        return QSize(LEAST_PX, round(wide * self._high))

    def show_image(self, image: QImage | None) -> None:
        """Show another picture; None leaves the place empty."""
        self.image = image
        if image is not None:
            self._high = image.height() / image.width()
            self.updateGeometry()
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        if event.size().width() != event.oldSize().width():
            self.updateGeometry()

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
            box = self.rect().adjusted(1, 1, -1, -1)
            if self.image is not None:
                ratio = self.devicePixelRatioF()
                scaled = self.image.scaled(
                    box.size() * ratio, Qt.AspectRatioMode.KeepAspectRatio,
                    Qt.TransformationMode.SmoothTransformation,
                )  # fmt: skip
                scaled.setDevicePixelRatio(ratio)
                size = scaled.deviceIndependentSize().toSize()
                box = QRect(box.topLeft(), size)
                box.moveLeft((self.width() - size.width()) // 2)
                painter.drawImage(box.topLeft(), scaled)
            painter.setPen(QPen(theme.OUTLINE, 1))
            painter.drawRect(box)


class ClassPreview(QWidget):
    """Walks through every face of a lesson. ``walked`` carries the number of the phase that it came to."""

    walked = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("What the class will see"))
        self._settings: SettingsStore | None = None
        self._outline: Outline | None = None
        self._faces: tuple[PreviewFace, ...] = ()
        self._at = 0
        self._phase: int | None = None
        self._small: Sequence[SmallWords] = ()
        self._is_new = False
        self.seen: SeenFace | None = None
        self.shelf = PictureShelf(self)
        self.shelf.arrived.connect(self._on_arrived)
        self._opened: object = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._paint)
        self.picture = WallPicture()
        self.back_button = button("‹", self.back, "small", _("Alt+Left: what the class saw before"))
        self.next_button = button("›", self.forth, "small", _("Alt+Right: what the class sees next"))
        named(self.back_button, _("What the class saw before"))
        named(self.next_button, _("What the class sees next"))
        self.which = named(label("", wrap=True), _("Which face of the Wall it is"))
        self.which.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.warnings = named(label("", "notice", wrap=True), _("What is wrong with it"))
        self.warnings.hide()
        heading = label(_("What the class will see"), bold=True)
        arrows = row_of(self.back_button, (self.which, 1), self.next_button, gap=8)
        column_of(heading, self.picture, arrows, self.warnings, STRETCH, gap=4, inside=self)
        self._tell()

    # --- what the page says ---

    def use_settings(self, settings: SettingsStore) -> None:
        """Show the Wall by the room's settings; without them, as they are at the first start."""
        self._settings = settings
        self._soon()

    def show_outline(self, outline: Outline | None) -> None:
        """Show another outline a moment after its last change; None where nothing of it is whole yet."""
        if outline != self._outline:
            self._outline, self._is_new = outline, True
            self._soon()

    def show_phase(self, index: int | None) -> None:
        """Show the first face of a phase, unless one of its faces is shown."""
        if index != self._phase:
            self._phase = index
            if index is not None and not self._is_new and self._index_now() != index:
                self._at = self._first_of(index)
            self._soon()

    def show_small(self, small: Sequence[SmallWords]) -> None:
        """Mark what the back row can't read."""
        if tuple(small) != tuple(self._small):
            self._small = tuple(small)
            self._soon()

    def back(self) -> None:
        """One face back."""
        self._walk(-1)

    def forth(self) -> None:
        """One face on."""
        self._walk(1)

    # --- working it out, late ---

    def _soon(self) -> None:
        if self.isVisible():
            self._timer.start(LATE_MS if self._is_new else SOON_MS)

    def _first_of(self, index: int) -> int:
        return next((at for at, face in enumerate(self._faces) if face.index == index), self._at)

    def _index_now(self) -> int | None:
        return self._faces[self._at].index if self._at < len(self._faces) else None

    def _walk(self, by: int) -> None:
        self._renew()
        at = self._at + by
        if not 0 <= at < len(self._faces):
            return
        self._at = at
        index = self._faces[at].index
        if index is not None and index != self._phase:
            self._phase = index
            self.walked.emit(index)
        self._paint()

    def _renew(self) -> None:
        """The faces of an outline that changed; the one that was shown stays, as far as it is there."""
        if not self._is_new:
            return
        self._is_new = False
        was = self._faces[self._at] if self._at < len(self._faces) else None
        self._faces = () if self._outline is None else faces_of(self._outline)
        keys = [(face.index, face.show, face.number) for face in self._faces]
        same = None if was is None else (was.index, was.show, was.number)
        follows = self._phase is None or was is None or was.index in (None, self._phase)
        if same in keys and follows:
            self._at = keys.index(same)
        else:
            self._at = self._first_of(self._phase or 0)
        self._at = min(self._at, max(0, len(self._faces) - 1))

    def _paint(self) -> None:
        self._timer.stop()
        if not self.isVisible():
            return
        self._renew()
        if self._outline is None or not self._faces:
            self.seen = None
            self.picture.show_image(None)
            self._tell()
            return
        settings = Settings() if self._settings is None else self._settings.now
        face, size = self._faces[self._at], shapes_of(settings)[0]
        self.seen = seen(self._outline, face, look_of(settings, known_height_mm(settings)))
        self._open_files(self._outline)
        small = small_on(face, self._small)
        fields = {one.field for one in small}
        frame = self.seen.frame
        if is_title_cut(frame, size):
            fields.add("title")
        self.picture.show_image(painted(frame, size, self.shelf.picture, fields, self._missing(frame)))
        self._tell(face, frame, small, is_cut="title" in fields)

    def _open_files(self, outline: Outline) -> None:
        """Have the files opened in their process; those that were are kept as long as they are the same."""
        files = outline.folder, outline.shown_files
        if files != self._opened:
            self._opened = files
            if outline.shown_files:
                self.shelf.open(outline)
            else:
                self.shelf.close()

    def _missing(self, frame: WallFrame) -> list[PictureKey]:
        keys = [
            frame.picture,
            *(key for place in frame.groups for key in (place.picture, place.place_picture)),
        ]
        return [key for key in keys if key is not None and self.shelf.fate(key) == "missing"]

    def _on_arrived(self, _key: PictureKey) -> None:
        self._soon()

    def _tell(
        self,
        face: PreviewFace | None = None,
        frame: WallFrame | None = None,
        small: Sequence[SmallWords] = (),
        *,
        is_cut: bool = False,
    ) -> None:
        if face is None or frame is None:
            self.which.setText(_("Nothing yet: write a phase with its minutes."))
            self.picture.setAccessibleDescription("")
            show_words(self.warnings, "")
        else:
            words = _("{n} of {many}: {face}", n=self._at + 1, many=len(self._faces), face=face.words)
            if frame.face == "off":
                words = _("{face} (the Wall is off)", face=words)
            self.which.setText(words)
            parts = (frame.title, frame.line, frame.second_line, frame.problem, frame.prompt, frame.digits)
            self.picture.setAccessibleDescription(". ".join(part for part in parts if part))
            cut = _("The title is cut short on the Wall: make it shorter.")
            lines = [cut] if is_cut and not any(one.field == "move_words" for one in small) else []
            lines += [*(one.words for one in small), *self._missing_words(frame)]
            show_words(self.warnings, "\n".join(lines))
        self.back_button.setEnabled(self._at > 0)
        self.next_button.setEnabled(self._at + 1 < len(self._faces))

    def _missing_words(self, frame: WallFrame) -> list[str]:
        """Which files of a face can't be shown, why, and what to do."""
        if self._outline is None or self.seen is None or not self._missing(frame):
            return []
        lines = []
        for name in self.seen.files:
            if name not in self.shelf.unreadable:
                continue
            try:
                attached_file(self._outline.folder, name)
                why = _("it can't be drawn. Save it again as PNG, JPG or PDF.")
            except UnreadableFileError as error:
                why = f"{error.what} {error.fix}"
                why = why[:1].lower() + why[1:]
            lines.append(_("“{file}” is not shown: {why}", file=name, why=why))
        return lines

    def close_files(self) -> None:
        """End the process that opens files; it is begun anew when one is shown."""
        self._timer.stop()
        self.shelf.close()
        self._opened = None

    # --- what Qt says ---

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._soon()

    def hideEvent(self, event: QHideEvent) -> None:
        """Out of sight nothing is worked out, and no process is kept."""
        super().hideEvent(event)
        self.close_files()
