"""Starts the process that opens attachments, sends it requests, reads its answers. Loads Qt late."""

import contextlib
import json
import os
import queue
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from pacer.plan.file.attachments import DRAW_CPU_S, LOOK_CPU_S, LOOK_S, inside_words
from pacer.plan.problems import WhatAndFix

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

START_S = 60  # an old laptop, and busy, may take long to load Qt once more
LOOK_SIDE = 240  # a look draws the page, too: some faults and a very slow page show only then
_END_S = 0.5
_RUN = (
    "import sys; sys.path[:] = sys.argv[1].split(sys.argv[2]); "
    "from pacer.qt.attachments.worker import main; main()"
)


@dataclass(frozen=True)
class Answer:
    """What the process found. ``number`` is the request's, 0 where it only says that it is ready.

    ``code`` is empty where nothing is wrong; ``pages`` is 0 for a picture; ``image`` only where asked for.
    """

    number: int
    code: str = ""
    figure: int = 0
    pages: int = 0
    image: "QImage | None" = None
    text: str = ""


class AttachmentProcess:
    """One process. ``heard(process, answer)`` is called in a thread of its own; with None once it is over.

    Raises OSError where no process can be started.
    """

    def __init__(self, heard: "Callable[[AttachmentProcess, Answer | None], None]") -> None:
        import subprocess  # late: the start of the program does without it

        self._heard = heard
        # As this program finds its modules, so does the process: the folder it was started in is no place.
        places = os.pathsep.join(place or str(Path.cwd()) for place in sys.path)
        self._process = subprocess.Popen(
            [sys.executable, "-c", _RUN, places, os.pathsep],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )  # fmt: skip
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._stdin, self._stdout = self._process.stdin, self._process.stdout
        self._thread = threading.Thread(target=self._listen, name="attachments", daemon=True)
        self._thread.start()

    def ask(self, **request: object) -> None:
        """Send a request; the answer, or the end, is heard later."""
        try:
            self._stdin.write(json.dumps(request).encode() + b"\n")
            self._stdin.flush()
        except (OSError, ValueError):
            pass  # it is over, which is heard, too

    def stop(self, *, wait: bool = True) -> None:
        """End the process whatever it is in; waits half a second at most."""
        self._process.kill()
        if wait:
            self._thread.join(_END_S)

    def _listen(self) -> None:
        try:
            while line := self._stdout.readline():
                self._heard(self, _read_answer(json.loads(line), self._stdout))
        except (OSError, ValueError, EOFError, KeyError):
            pass  # killed in the middle of an answer
        self._process.kill()
        self._process.wait()
        for pipe in (self._stdin, self._stdout):
            with contextlib.suppress(OSError):  # what was not yet sent has nobody to go to
                pipe.close()
        self._heard(self, None)


def _read_answer(head: dict[str, Any], stream: IO[bytes]) -> Answer:
    image = None
    if head.get("width"):
        from PySide6.QtGui import QImage

        formats = QImage.Format
        form = formats.Format_ARGB32_Premultiplied if head["alpha"] else formats.Format_RGB32
        image = QImage(head["width"], head["height"], form)
        pixels = image.bits()
        at = 0
        while at < len(pixels):
            got = stream.readinto(pixels[at:])  # type: ignore[attr-defined]  # a buffered reader has it
            if not got:
                raise EOFError
            at += got
    return Answer(
        head["number"], head.get("code", ""), head.get("figure", 0), head.get("pages", 0), image,
        head.get("text", ""),
    )  # fmt: skip


class Looker:
    """Looks into files one after the other: a ``look_into`` for attachment_problems.

    ``blind`` is True once it turned out that nothing can be looked into here. A file that costs more of the
    processor's time than a look may, or takes longer than ``limit_s`` seconds, is given up, and the next one
    gets a new process.
    """

    def __init__(self, limit_s: float = LOOK_S) -> None:
        self.limit_s = limit_s
        self._process: AttachmentProcess | None = None
        self._answers: queue.SimpleQueue[tuple[AttachmentProcess, Answer | None]] = queue.SimpleQueue()
        self._number = 0
        self.blind = False

    def __call__(self, path: Path, page: int) -> WhatAndFix | None:
        """What is wrong inside a file, and what to do next."""
        answer = self._asked(path=str(path), page=page, width=LOOK_SIDE, height=LOOK_SIDE, pixels=False)
        return None if answer is None or not answer.code else inside_words(answer.code, answer.figure)

    def draw(self, folder: str, attach: str, page: int, size: tuple[int, int]) -> "QImage | None":
        """An attached picture or a PDF's page as large as fits so many pixels; None if it can't be shown."""
        answer = self._asked(
            folder=folder,
            attach=attach,
            page=page,
            width=size[0],
            height=size[1],
            pixels=True,
            cpu_s=DRAW_CPU_S,
        )
        return None if answer is None else answer.image

    def text(self, path: Path) -> Answer | None:
        """The text of a PDF's first pages, or what is wrong with it; None where none can be read here."""
        return self._asked(path=str(path), page=1, width=0, height=0, pixels=False, text=True)

    def _asked(self, **request: object) -> Answer | None:
        """The answer to a request; None where nothing can be looked into here."""
        if self.blind or not self._is_ready():
            self.blind = True
            return None
        assert self._process is not None
        self._number += 1
        self._process.ask(number=self._number, **{"cpu_s": LOOK_CPU_S} | request)
        try:
            answer = self._next(self.limit_s)
        except queue.Empty:
            self.close()
            return Answer(self._number, "slow")
        if answer is None:
            self._process = None
            return Answer(self._number, "too-much")
        return answer

    def _is_ready(self) -> bool:
        if self._process is not None:
            return True
        try:
            self._process = AttachmentProcess(lambda *heard: self._answers.put(heard))
            answer = self._next(START_S)
        except (OSError, queue.Empty):
            answer = None
        if answer is None:
            self.close()
        return answer is not None

    def _next(self, limit_s: float) -> Answer | None:
        """The next answer, None where the process ended. Raises queue.Empty after so many seconds."""
        while True:
            process, answer = self._answers.get(timeout=limit_s)
            if process is self._process:
                return answer

    def close(self) -> None:
        if self._process is not None:
            self._process.stop()
        self._process = None

    def __enter__(self) -> "Looker":
        return self

    def __exit__(self, *_fault: object) -> None:
        self.close()
