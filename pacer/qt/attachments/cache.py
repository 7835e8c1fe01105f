"""The pictures of a lesson: asked for by the Wall, drawn in a process of their own, kept within bounds."""

from dataclasses import dataclass
from typing import Literal, cast

from PySide6.QtCore import QObject, QSize, Qt, Signal
from PySide6.QtGui import QImage

from pacer.frames.wall import PictureKey
from pacer.plan.file.attachments import DRAW_CPU_S, LOOK_S, MOST_PAGES
from pacer.plan.outline import Outline, ShownFile
from pacer.qt.attachments.process import START_S, Answer, AttachmentProcess
from pacer.qt.kit.threads import tell_main
from pacer.qt.kit.ticker import single_shot

KEPT_BYTES = 64 * 1024 * 1024  # two pictures of 3840 × 2160, eight of 1920 × 1080
_BYTES_A_PIXEL = 4
_MOST_SIDE = 8192
# Signs of groups and places, all together; the more there are the smaller each is on the Wall.
SIGNS_BYTES = 16 * 1024 * 1024
HURRY_MS = 500  # so long may something drawn ahead keep the picture on the Wall waiting
Size = tuple[int, int]
FileState = Literal["ready", "coming", "missing"]
Of = Literal["phase", "group", "station", "move"]
Owner = tuple[Of, int]  # by its number


def _owner(key: PictureKey) -> Owner:
    return key.of, key.number


@dataclass(frozen=True)
class _Job:
    """What the process was asked for; without a size only how many pages there are."""

    number: int
    key: PictureKey
    size: Size | None


class PictureShelf(QObject):
    """Opens the attachments of one lesson at a time and hands out their pictures.

    ``arrived`` carries a PictureKey when its picture came, and when it turned out that it can't be shown.
    Nothing here waits: files are opened, and pages drawn, in a process that is ended with ``close``. What
    is not drawn within ``limit_ms`` is missing, and the next picture gets a new process; what is drawn
    ahead gives way to the picture on the Wall sooner, and is tried again later. The picture
    asked for last, the pages around it, the signs of groups and places, and the first pictures of the other
    phases, the next one first, are drawn ahead as far as KEPT_BYTES goes. Signs are drawn once, as large as
    they can ever be, and made smaller here: they are there wherever children go.
    """

    arrived = Signal(object)
    _heard = Signal(object, object)

    def __init__(self, parent: QObject | None = None, *, limit_ms: int = LOOK_S * 1000) -> None:
        super().__init__(parent)
        self.limit_ms = limit_ms
        self._limit = single_shot(self, limit_ms, self._on_too_slow)
        self._heard.connect(self._on_heard, Qt.ConnectionType.QueuedConnection)
        self._process: AttachmentProcess | None = None
        self._answers = self._hopeless = self._gives_way = False
        self._number = 0
        self._forget()

    def _forget(self) -> None:
        self._outline: Outline | None = None
        self._files: dict[Owner, ShownFile] = {}
        self._signs: tuple[PictureKey, ...] = ()
        self._job: _Job | None = None
        self._kept: dict[tuple[PictureKey, Size], QImage] = {}  # the one asked for last is the last
        self._pages: dict[Owner, int] = {}
        self._failed: set[PictureKey] = set()
        self._failed_owners: set[Owner] = set()
        self._on_wall: dict[PictureKey, Size] = {}  # a picture that fills it, or the signs that it shows
        self._phase = 0
        self._size: Size | None = None
        self._sign_size: Size | None = None

    def open(self, outline: Outline) -> None:
        """Begin with the attachments of an outline; those of another are forgotten."""
        self.close()
        self._outline = outline
        self._files = {owner_of(file): file for file in outline.shown_files}
        keys = (PictureKey(number, 1, of) for of, number in self._files)
        self._signs = tuple(key for key in keys if key.of != "phase")
        self._next()

    def close(self) -> None:
        """Forget everything and end the process; half a second at most."""
        self._limit.stop()
        if self._process is not None:
            self._process.stop()
        self._process = None
        self._answers = self._hopeless = False
        self._forget()

    def expect(self, phase: int, size: QSize, ratio: float, sign: QSize | None = None) -> None:
        """Say which phase runs and how large pictures and signs will be, so that they are drawn ahead."""
        self._phase = phase
        self._size = _pixels(size, ratio) or self._size
        self._sign_size = (_pixels(sign, ratio) if sign is not None else None) or self._sign_size
        self._next()

    def picture(self, key: PictureKey, size: QSize, ratio: float) -> QImage | None:
        """A picture as large as fits a size of so many pixels a point; None while there is none.

        One pixel of it is one of the screen's: it carries no ratio of its own.
        """
        wanted = _pixels(size, ratio)
        if wanted is None or self._attach(key) is None or self._is_missing(key):
            return None
        if key.of != "phase":
            return self._sign(key, wanted)
        if self._on_wall != {key: wanted}:
            self._on_wall, self._size, self._phase = {key: wanted}, wanted, key.number
            image = self._kept.pop((key, wanted), None)
            if image is not None:
                self._kept[key, wanted] = image
            self._next()
            self._hurry()
        found = self._kept.get((key, wanted))
        if found is not None:
            return found
        # One of another size stands in, roughly, until the right one comes.
        other = self._any_size(key)
        return other and other.scaled(QSize(*wanted), Qt.AspectRatioMode.KeepAspectRatio)

    def _any_size(self, key: PictureKey) -> QImage | None:
        """The picture in the size that was asked for last."""
        return next((image for (of, _size), image in reversed(self._kept.items()) if of == key), None)

    def _sign(self, key: PictureKey, wanted: Size) -> QImage | None:
        """A sign, made smaller from the one size that all are drawn in."""
        if self._sign_size is None or (key.of != "move" and max(wanted) > max(self._sign_size)):
            self._sign_size = wanted
        size = self._size_of(key) or wanted
        if self._on_wall.get(key) != size:
            # Those asked for before are on the Wall as well, all in the size of now.
            signs = [of for of in self._on_wall if of.of != "phase"]
            self._on_wall = {of: self._size_of(of) or size for of in (*signs, key)}
            self._next()
            self._hurry()
        found = self._kept.get((key, size)) or self._any_size(key)
        return found and found.scaled(
            QSize(*wanted), Qt.AspectRatioMode.KeepAspectRatio, Qt.TransformationMode.SmoothTransformation
        )

    def _size_of(self, key: PictureKey) -> Size | None:
        """The size that a picture is drawn in; None while nobody knows how large the Wall is."""
        if key.of == "phase":
            return self._size
        if key.of == "move":  # beside the groups it has half of the Wall
            return None if self._size is None else (max(1, self._size[0] // 2), max(1, self._size[1] // 2))
        if self._sign_size is None:
            return None
        most = int((SIGNS_BYTES / _BYTES_A_PIXEL / max(1, len(self._signs))) ** 0.5)
        return min(self._sign_size[0], most), min(self._sign_size[1], most)

    @property
    def is_busy(self) -> bool:
        """Whether something is asked for and not yet there."""
        return self._job is not None

    @property
    def kept(self) -> dict[tuple[PictureKey, tuple[int, int]], QImage]:
        """The pictures in memory, by key and size in the screen's pixels."""
        return dict(self._kept)

    def fate(self, key: PictureKey) -> FileState:
        """Whether a picture is there, may come, or can't be shown."""
        if self._is_missing(key):
            return "missing"
        return "ready" if any(of == key for of, _size in self._kept) else "coming"

    def pages_of(self, index: int) -> int:
        """How many pages the PDF of a phase has; 0 where that is unknown or it has no PDF."""
        return self._pages.get(("phase", index), 0)

    @property
    def unreadable(self) -> tuple[str, ...]:
        """Names of the files that can't be shown, as the outline writes them."""
        owners = self._files if self._hopeless else {*map(_owner, self._failed), *self._failed_owners}
        return tuple(dict.fromkeys(file.name for owner, file in self._files.items() if owner in owners))

    def _attach(self, key: PictureKey) -> str | None:
        """The file of a picture."""
        file = self._files.get(_owner(key))
        return None if file is None else file.name

    def _is_pdf(self, key: PictureKey) -> bool:
        return (self._attach(key) or "").lower().endswith(".pdf")

    def _is_missing(self, key: PictureKey) -> bool:
        if self._hopeless or self._attach(key) is None or _owner(key) in self._failed_owners:
            return True
        pages = self._pages.get(_owner(key)) or (MOST_PAGES if self._is_pdf(key) else 1)
        return key in self._failed or not 1 <= key.page <= pages

    def _first_of(self, index: int) -> PictureKey:
        assert self._outline is not None
        first = PictureKey(index, 1)
        return PictureKey(index, self._outline.phases[index].page) if self._is_pdf(first) else first

    def _wanted(self) -> list[tuple[PictureKey, Size]]:
        """What should be kept and how large, the most urgent first, as much as there is surely room for."""
        signs = [
            (key, size) for key in self._signs if not self._is_missing(key) and (size := self._size_of(key))
        ]
        if self._outline is None or self._size is None:
            return signs
        count = len(self._outline.phases)
        firsts = [self._first_of(index) for index in (*range(self._phase, count), *range(self._phase))]
        shows_groups = any(key.of != "phase" for key in self._on_wall)
        for key in () if shows_groups else self._on_wall:
            firsts[:0] = [key, key._replace(page=key.page + 1)]
            firsts.insert(4, key._replace(page=key.page - 1))
        shown = [(key, self._size) for key in dict.fromkeys(firsts) if not self._is_missing(key)]
        room = KEPT_BYTES - sum(width * height * _BYTES_A_PIXEL for _key, (width, height) in signs)
        shown = shown[: max(1, room // (self._size[0] * self._size[1] * _BYTES_A_PIXEL))]
        # What this phase and the next may show comes before the groups, until they are there.
        first = 0 if shows_groups else 2
        return [*shown[:first], *signs, *shown[first:]]

    def _choose(self) -> tuple[PictureKey, Size | None] | None:
        """What to ask for next: the picture on the Wall, then the numbers of pages, then what may come."""
        if self._outline is None:
            return None
        for key, size in self._on_wall.items():
            if (key, size) not in self._kept and not self._is_missing(key):
                return key, size
        for index in range(len(self._outline.phases)):
            key = PictureKey(index, 1)
            if self._is_pdf(key) and not {_owner(key)} & {*self._pages, *self._failed_owners}:
                return key, None
        return next((wanted for wanted in self._wanted() if wanted not in self._kept), None)

    def _next(self) -> None:
        """Send the next request, unless one is under way."""
        chosen = None if self._job is not None or self._hopeless else self._choose()
        if chosen is None or self._outline is None:
            return
        self._number += 1
        self._gives_way = False
        self._job = _Job(self._number, *chosen)
        if self._process is None:
            try:
                # Called in the listening thread; the queued signal hands what it heard to the main thread.
                self._process = AttachmentProcess(lambda *heard: tell_main(self._heard, *heard))
            except OSError:
                self._give_up()
                return
            self._answers = False
        key, (width, height) = chosen[0], chosen[1] or (0, 0)
        self._process.ask(number=self._number, folder=self._outline.folder, attach=self._attach(key),
                          page=key.page, width=width, height=height, pixels=True,
                          cpu_s=DRAW_CPU_S)  # fmt: skip
        self._limit.start(self.limit_ms if self._answers else START_S * 1000)

    def _hurry(self) -> None:
        """Give the job under way little time where the Wall waits for another picture."""
        job = self._job
        waits = any(
            wanted not in self._kept and not self._is_missing(wanted[0]) for wanted in self._on_wall.items()
        )
        if job is not None and self._answers and waits and (job.key, job.size) not in self._on_wall.items():
            self._gives_way = True
            self._limit.start(min(HURRY_MS, max(0, self._limit.remainingTime())))

    def _on_heard(self, process: AttachmentProcess, answer: Answer | None) -> None:
        if process is not self._process:
            return  # of a process that was ended
        if answer is None:
            self._process = None
            if self._answers:
                self._fail()
            else:
                self._give_up()
        elif answer.number == 0:
            self._answers = True
            self._limit.start(self.limit_ms)
        elif self._job is not None and answer.number == self._job.number:
            self._take(answer, self._job)

    def _take(self, answer: Answer, job: _Job) -> None:
        if answer.code:
            self._fail()
            return
        if answer.pages:
            self._pages[_owner(job.key)] = answer.pages
        if job.size is not None and answer.image is not None:
            self._keep(job.key, job.size, answer.image)
        self._done(job)

    def _keep(self, key: PictureKey, size: Size, image: QImage) -> None:
        """Keep a picture; those wanted least are dropped while there are more than KEPT_BYTES."""
        self._kept[key, size] = image
        held = {*self._wanted(), *self._on_wall.items()}
        for entry in [entry for entry in self._kept if entry not in held]:
            if sum(kept.sizeInBytes() for kept in self._kept.values()) <= KEPT_BYTES:
                return
            del self._kept[entry]

    def _fail(self) -> None:
        """Remember that what was asked for can't be shown."""
        job = self._job
        if job is not None:
            if job.size is None:
                self._failed_owners.add(_owner(job.key))
            else:
                self._failed.add(job.key)
            self._done(job)

    def _done(self, job: _Job) -> None:
        self._limit.stop()
        self._job = None
        self._next()
        if job.size is not None or _owner(job.key) in self._failed_owners:
            self.arrived.emit(job.key)

    def _on_too_slow(self) -> None:
        if self._process is not None:
            self._process.stop(wait=False)
        self._process = None
        if self._gives_way:
            self._job = None
            self._next()
        elif self._answers:
            self._fail()
        else:
            self._give_up()

    def _give_up(self) -> None:
        """Show nothing and try no more: no process can be started on this computer."""
        self._limit.stop()
        job, self._job = self._job, None
        self._hopeless = True
        if job is not None:
            self.arrived.emit(job.key)


def owner_of(file: ShownFile) -> Owner:
    """Whose picture a file is, by the place of its key in the outline."""
    of, number = file.place[:2]
    return ("move", 0) if of == "block" else (cast(Of, of), int(number))


def _pixels(size: QSize, ratio: float) -> Size | None:
    """A size in pixels of the screen; None where nothing fits into it."""
    width, height = (min(_MOST_SIDE, round(side * ratio)) for side in (size.width(), size.height()))
    return (width, height) if width > 0 and height > 0 else None
