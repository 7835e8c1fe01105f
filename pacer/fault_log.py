"""What a report of a fault needs, in a file: what failed and where in the code, never what it was about.

Titles, notes and paths are private, and what an exception or Qt says may quote them: of both only names that
stand in code are written, with numbers and versions.
"""

import faulthandler
import logging
import os
import platform
import re
import sys
import threading
import traceback
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager, suppress
from functools import partial
from itertools import pairwise
from pathlib import Path
from types import TracebackType
from typing import Any

from pacer import __version__
from pacer.owner_only import open_text

MOST_BYTES, FILES = 256 * 1024, 3
MOST_PLACES = 30  # of one fault: a function that calls itself for ever has a thousand
_PACKAGE = Path(__file__).resolve().parent
_QT_FUNCTION = re.compile(r"Q[A-Z]\w*(?:::~?\w+)+")
_CRASH_HEAD = re.compile(r"(?:Fatal Python error|Windows fatal exception): [\w ]+")
_CRASH_PLACE = re.compile(r' *File "(.*)", line (\d{1,9}) in ')


class FaultLog:
    """``pacer.log`` in a folder, in three files at most and for its owner only.

    A log that can't be opened or written stops nothing; ``is_open`` says whether faults reach the file.
    """

    def __init__(self, folder: Path) -> None:
        self.path = folder / "pacer.log"
        self._crash = folder / "pacer-crash.txt"
        self._logger = logging.Logger("pacer")  # our own: what libraries log may be private
        self._seen: Counter[str] = Counter()
        self._screens = ""
        self._file: _OwnersFile | None = None
        with suppress(OSError):
            self._file = _OwnersFile(self.path)
            self._logger.addHandler(self._file)

    @property
    def is_open(self) -> bool:
        """Whether what is noted reaches the file."""
        return self._file is not None and not self._file.failed

    @contextmanager
    def running(
        self, versions: Mapping[str, str], complain: Callable[[BaseException], None]
    ) -> Iterator[None]:
        """Note start and stop, and between them whatever goes wrong and nothing else deals with.

        ``complain`` is called with what went wrong in the program's windows, once it has been noted.
        """
        crash = self._last_crash()
        named_versions = {"pacer": __version__, "Python": platform.python_version(), **versions}
        self._say(f"start: {', '.join(f'{name} {number}' for name, number in named_versions.items())}")
        self._say(f"on {platform.system()} {platform.release()} {platform.machine()}")
        if crash:
            self._say(f"the run before this one crashed: {crash}", logging.ERROR)
        with ExitStack() as ended:
            ended.callback(self.close)
            ended.callback(self._say, "stop")
            self._note_crash(ended)
            ended.enter_context(self._hooks(complain))
            try:
                yield
            except Exception as fault:
                self.fault(fault)
                raise

    def fault(self, fault: BaseException) -> None:
        """Note the kind of an exception and where in our code it came from, and the same of what led to it.

        One that comes again and again is noted the 1st, 10th, 100th … time.
        """
        self._say_once(f"fault {' after '.join(map(_words_of, _chain(fault)))}", logging.ERROR)

    def qt_said(self, level: str, category: str, text: str) -> None:
        """Note that Qt warned: how gravely, of what part, and the function that its text begins with."""
        function = _QT_FUNCTION.match(text)
        self._say_once(f"Qt {level} [{category}] {function.group() if function else ''}", logging.WARNING)

    def screens(self, sizes: Sequence[tuple[int, int, float]]) -> None:
        """Note the screens by width and height in Qt's units and scale, if they are others than before."""
        listed = ", ".join(f"{wide} × {high} at {ratio:g}" for wide, high, ratio in sizes)
        if listed != self._screens:
            self._screens = listed
            self._say(f"{len(sizes)} screens: {listed}")

    def close(self) -> None:
        """Close the file; what is told later is not noted."""
        if self._file is not None:
            with suppress(OSError):  # a full disk refuses the last words only now
                self._file.close()
            self._file = None

    def _say_once(self, line: str, level: int) -> None:
        self._seen[line] += 1
        count = self._seen[line]
        if str(count).strip("0") == "1":
            self._say(line if count == 1 else f"{count} times by now: {line}", level)

    def _say(self, line: str, level: int = logging.INFO) -> None:
        if self._file is not None:
            self._file.failed = False  # there may be room again
            self._logger.log(level, "%s", line)

    @contextmanager
    def _hooks(self, complain: Callable[[BaseException], None]) -> Iterator[None]:
        before = sys.excepthook, threading.excepthook, sys.unraisablehook

        def in_windows(_kind: type[BaseException], fault: BaseException, _at: TracebackType | None) -> None:
            if isinstance(fault, Exception):
                self.fault(fault)
            complain(fault)

        def elsewhere(hook: Callable[[Any], object], details: Any) -> None:
            if isinstance(details.exc_value, Exception):
                self.fault(details.exc_value)
            hook(details)

        sys.excepthook = in_windows
        threading.excepthook = partial(elsewhere, before[1])
        sys.unraisablehook = partial(elsewhere, before[2])
        try:
            yield
        finally:
            sys.excepthook, threading.excepthook, sys.unraisablehook = before

    def _note_crash(self, ended: ExitStack) -> None:
        """Let the interpreter write down where it was, should it crash; the next start takes that in."""
        # Who asked for that by an option of Python's is not deprived of it.
        if not faulthandler.is_enabled():
            with suppress(OSError):
                ended.callback(_remove, self._crash)
                faulthandler.enable(ended.enter_context(open_text(self._crash, "w")))
                ended.callback(faulthandler.disable)

    def _last_crash(self) -> str:
        """What the last run's crash left, without the folders that stand in it; empty when there was none."""
        try:
            lines = self._crash.read_text(encoding="utf-8", errors="replace").splitlines()
        except OSError:
            return ""
        _remove(self._crash)
        heads = [head.group() for line in lines if (head := _CRASH_HEAD.match(line))]
        places = [place.groups() for line in lines if (place := _CRASH_PLACE.match(line))]
        return " at ".join([*heads[:1], _places((path, int(line)) for path, line in places)])


class _OwnersFile(logging.FileHandler):
    """A file that only its owner may read, with older ones beside it: ``pacer.log.1`` is the newest of those.

    A write that fails is remembered and told nowhere. Python's own rotating file comes with sockets and
    pickles, for which every start would wait.
    """

    def __init__(self, path: Path) -> None:
        self.failed = False
        super().__init__(path, encoding="utf-8")
        self.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))

    def emit(self, record: logging.LogRecord) -> None:
        """Write a line; where the file would grow too large with it, into a new one."""
        try:
            self.stream = self.stream or self._open()
            written = self.stream.tell()
            if written and written + len(f"{self.format(record)}\n".encode()) > MOST_BYTES:
                self._turn_over()
            super().emit(record)
        except (OSError, ValueError):  # also of half a character, which no file takes
            self.handleError(record)

    def _turn_over(self) -> None:
        full, self.stream = self.stream, None  # opened anew for the next line, whatever happens here
        if full is not None:
            full.close()
        names = [self.baseFilename, *(f"{self.baseFilename}.{number}" for number in range(1, FILES))]
        for newer, older in reversed(list(pairwise(names))):
            with suppress(FileNotFoundError):
                os.replace(newer, older)  # noqa: PTH105 - names, as logging has them

    def _open(self) -> Any:
        return open_text(Path(self.baseFilename), "a")

    def handleError(self, record: logging.LogRecord) -> None:  # noqa: ARG002, N802 - so it is named in logging
        """A full disk is no reason to disturb anybody."""
        self.failed = True


def _remove(path: Path) -> None:
    with suppress(OSError):
        path.unlink()


def _chain(fault: BaseException) -> Iterator[BaseException]:
    """An exception and what led to it."""
    seen: set[int] = set()
    current: BaseException | None = fault
    while current is not None and id(current) not in seen:
        yield current
        seen.add(id(current))
        current = current.__cause__ or (None if current.__suppress_context__ else current.__context__)


def _words_of(fault: BaseException) -> str:
    """The kind of an exception, its number where it has one, and the places in our code, innermost first."""
    number = getattr(fault, "errno", None)
    kind = f"{type(fault).__name__} {number}" if isinstance(number, int) else type(fault).__name__
    frames = [(frame.f_code.co_filename, line) for frame, line in traceback.walk_tb(fault.__traceback__)]
    return f"{kind} at {_places(reversed(frames)) or 'no place of ours'}"


def _places(frames: Iterable[tuple[str, int]]) -> str:
    """The first modules and lines of ours; other files are left out, as their folders may be private."""
    ours = []
    for path, line in frames:
        with suppress(OSError, ValueError):
            module = Path(path).resolve().relative_to(_PACKAGE).with_suffix("")
            ours.append(f"{'.'.join(('pacer', *module.parts))}:{line}")
    return " < ".join(ours[:MOST_PLACES])
