"""Watches a process from its first line: who opens files for writing, what reaches for a network.

A process of its own is watched, as what listens to an interpreter can never be taken away again.
"""

import os
import socket
import stat
import sys
from collections.abc import Iterator
from pathlib import Path

OTHERS = 0o077
WRITING = os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND
ONLY_HERE = {getattr(socket, "AF_UNIX", None)}
TABLES = ("tcp", "tcp6", "udp", "udp6", "udplite", "udplite6", "raw", "raw6", "icmp", "icmp6", "packet")
CALLS = ("socket.getaddrinfo", "socket.gethostby", "socket.getnameinfo", "urllib.", "http.client.",
         "ftplib.", "smtplib.", "imaplib.", "webbrowser.")  # fmt: skip
PACER = Path(__file__).resolve().parents[2] / "pacer"


class Watch:
    """What was seen. ``writers`` are the modules of Pacer that opened a file for writing, with its path."""

    def __init__(self) -> None:
        self.network: list[str] = []
        self.writers: dict[str, str] = {}
        sys.addaudithook(self._hear)

    def _hear(self, event: str, of: tuple[object, ...]) -> None:
        if event == "open" and isinstance(of[2], int) and of[2] & WRITING:
            # A number is a pipe that is open already.
            if isinstance(of[0], int) or of[0] == os.devnull:
                return
            place = _place_of_ours()
            if place:
                self.writers.setdefault(place, str(of[0]))
        elif event == "socket.__new__" and of[1] not in ONLY_HERE:
            self.network.append(f"{event} {of[1:]}")
        elif event in ("socket.connect", "socket.bind", "socket.sendto") and not _is_local(of[1]):
            self.network.append(f"{event} {of[1]}")
        elif event.startswith(CALLS):
            self.network.append(f"{event} {of}")

    def look_at_sockets(self) -> None:
        """Note the sockets of a network that this process has now, whoever opened them, Qt too."""
        self.network += [f"a socket of {table}" for table in network_sockets()]


def _place_of_ours() -> str:
    """The module of Pacer that is nearest to what happens; nothing where none is."""
    frame = sys._getframe(2)
    # Python's own trial of the temporary folder, for its owner only; and its own keeping of compiled modules.
    if frame.f_code.co_filename.endswith(("tempfile.py", "importlib._bootstrap_external>")):
        return ""
    while frame is not None:
        file = Path(frame.f_code.co_filename)
        if file.is_relative_to(PACER):
            return file.relative_to(PACER).as_posix()
        frame = frame.f_back
    return ""


def _is_local(address: object) -> bool:
    return isinstance(address, (str, bytes))  # of AF_UNIX; those of networks are tuples


def network_sockets() -> list[str]:
    """The tables of the kernel in which a socket of this process stands; none where there is no /proc."""
    own = set()
    for link in _links(Path("/proc/self/fd")):
        if link.startswith("socket:["):
            own.add(link[len("socket:[") : -1])
    found = []
    for table in TABLES:
        try:
            lines = Path("/proc/self/net", table).read_text().splitlines()[1:]
        except OSError:
            continue
        found += [table for line in lines if own & set(line.split())]
    return found


def _links(folder: Path) -> Iterator[str]:
    try:
        names = list(folder.iterdir())
    except OSError:
        return
    for name in names:
        try:
            yield str(name.readlink())
        except OSError:
            continue


def open_to_others(folder: Path) -> list[str]:
    """All files and folders below a folder, links aside, that somebody else may read, write or enter."""
    found = []
    for around, folders, files in os.walk(folder):
        for name in (*folders, *files):
            path = Path(around, name)
            mode = path.lstat().st_mode
            if not stat.S_ISLNK(mode) and mode & OTHERS:
                found.append(f"{path.relative_to(folder)} {stat.S_IMODE(mode):o}")
    return sorted(found)
