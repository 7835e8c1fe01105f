"""Starts an X server that has monitors but no hardware: Xorg with its dummy driver, in a temporary folder."""

import os
import select
import shutil
import subprocess
import time
from collections.abc import Iterable
from pathlib import Path

from tests.real_screens.child_process import dies_with_us, end_group

# The tools and the Debian packages they come in. The driver is a file, not a command: see `missing_packages`.
COMMAND_PACKAGES = {
    "Xorg": "xserver-xorg-core",
    "xrandr": "x11-xserver-utils",
    "xprop": "x11-utils",
    "xwininfo": "x11-utils",
    "setxkbmap": "x11-xkb-utils",
    "openbox": "openbox",
    "xdotool": "xdotool",
    "xterm": "xterm",
}
DRIVER_PACKAGE = "xserver-xorg-video-dummy"
MODULE_FOLDERS = ("/usr/lib/xorg/modules", "/usr/lib64/xorg/modules", "/usr/local/lib/xorg/modules")

# It must not take a real keyboard, mouse, graphics card or console, and the screen must not go blank.
XORG_CONF = """\
Section "ServerFlags"
  Option "AutoAddDevices" "false"
  Option "AutoEnableDevices" "false"
  Option "AutoAddGPU" "false"
  Option "DontVTSwitch" "true"
  Option "BlankTime" "0"
EndSection
Section "Device"
  Identifier "nothing"
  Driver "dummy"
  VideoRam 256000
EndSection
Section "Monitor"
  Identifier "monitor"
  HorizSync 5-1000
  VertRefresh 5-200
EndSection
Section "Screen"
  Identifier "screen"
  Device "nothing"
  Monitor "monitor"
  DefaultDepth 24
  SubSection "Display"
    Depth 24
    Virtual 5760 2160
  EndSubSection
EndSection
Section "ServerLayout"
  Identifier "layout"
  Screen "screen"
EndSection
"""
# Said by every server without a keyboard, a mouse or a system bus; never the reason of a failure here.
HARMLESS = ("mouse", "kbd", "libinput", "dbus-core", "(EE) error,", "(WW) warning")


class ScreensUnavailableError(Exception):
    """The monitors cannot be had; the text says why and what to install."""


def install_hint(packages: Iterable[str]) -> str:
    """One line that names the Debian packages to install."""
    return "install the Debian packages: " + " ".join(sorted(set(packages)))


def missing_packages(
    search_path: str | None = None, module_folders: Iterable[str] = MODULE_FOLDERS
) -> list[str]:
    """The Debian packages still to be installed, sorted; `search_path` is like PATH and defaults to it."""
    commands = COMMAND_PACKAGES.items()
    missing = {package for command, package in commands if not shutil.which(command, path=search_path)}
    if not any(Path(folder, "drivers", "dummy_drv.so").is_file() for folder in module_folders):
        missing.add(DRIVER_PACKAGE)
    return sorted(missing)


def _xorg_command() -> str:
    found = shutil.which("Xorg")
    if not found:
        raise ScreensUnavailableError(
            f"there is no Xorg on this machine; {install_hint(['xserver-xorg-core'])}"
        )
    # Debian's /usr/bin/Xorg may go through a set-uid wrapper that refuses people who are not at the console.
    # A server without hardware needs no such rights, so the real program is preferred.
    real = Path("/usr/lib/xorg/Xorg")
    return str(real) if real.is_file() else found


def why_it_failed(log: str) -> str:
    """Say in a few lines, from Xorg's log, why the server did not start."""
    errors = [line for line in log.splitlines() if "(EE)" in line]
    errors = [line for line in errors if not any(word in line for word in HARMLESS)]
    if any('Failed to load module "dummy"' in line for line in errors):
        return f"Xorg has no dummy driver; {install_hint([DRIVER_PACKAGE])}"
    told = [line.split("(EE)", 1)[1].strip() for line in errors]
    return "Xorg says: " + ("; ".join(line for line in told if line) or log.strip()[-500:] or "nothing")


class XServer:
    """One Xorg with sixteen dummy outputs, on a display number that Xorg itself finds free."""

    def __init__(self, folder: Path, module_folder: Path | None = None) -> None:
        """Prepare files in `folder`; `module_folder` replaces the folder in which Xorg looks for drivers."""
        self.folder = folder
        self._module_folder = module_folder
        self._process: subprocess.Popen[bytes] | None = None
        self.display = ""

    @property
    def pid(self) -> int | None:
        """The process number, or None when it does not run."""
        return self._process.pid if self._process else None

    def start(self, timeout_s: float = 60.0) -> str:
        """Start and return the display name, such as ":1"; ScreensUnavailableError says why it failed."""
        command = _xorg_command()
        (self.folder / "no-system-config").mkdir(exist_ok=True)
        (self.folder / "xorg.conf").write_text(XORG_CONF)
        reader, writer = os.pipe()
        try:
            with (self.folder / "xorg.out").open("wb") as out:
                self._process = subprocess.Popen(
                    # Asked to end, not killed: it then removes its lock and its socket.
                    dies_with_us([command, *self._arguments(writer)], by="TERM"),
                    stdin=subprocess.DEVNULL,
                    stdout=out,
                    stderr=subprocess.STDOUT,
                    pass_fds=(writer,),
                    start_new_session=True,
                )
            os.close(writer)
            writer = -1
            number = self._display_number(reader, timeout_s)
        finally:
            os.close(reader)
            if writer >= 0:
                os.close(writer)
        self.display = f":{number}"
        return self.display

    def _arguments(self, ready_fd: int) -> list[str]:
        arguments = ["-displayfd", str(ready_fd), "-logfile", str(self.folder / "xorg.log")]
        arguments += ["-config", str(self.folder / "xorg.conf")]
        arguments += ["-configdir", str(self.folder / "no-system-config")]
        arguments += ["-noreset", "-nolisten", "tcp", "-dpi", "96", "-s", "0"]
        if self._module_folder:
            arguments += ["-modulepath", str(self._module_folder)]
        return arguments

    def _display_number(self, reader: int, timeout_s: float) -> int:
        # Xorg writes its number and a newline when it answers clients; the pipe ends when it gave up.
        end = time.monotonic() + timeout_s
        text = b""
        while not text.endswith(b"\n"):
            if not select.select([reader], [], [], max(0.0, end - time.monotonic()))[0]:
                self.stop()
                why = why_it_failed(self.log())
                raise ScreensUnavailableError(f"Xorg was not ready after {timeout_s:g} s; {why}")
            part = os.read(reader, 16)
            if not part:
                self.stop()
                raise ScreensUnavailableError(f"Xorg did not start. {why_it_failed(self.log())}")
            text += part
        return int(text)

    def log(self) -> str:
        """What Xorg wrote: its log, or its output when it came not that far."""
        for name in ("xorg.log", "xorg.out"):
            path = self.folder / name
            if path.is_file() and path.stat().st_size:
                return path.read_text(errors="replace")
        return ""

    def stop(self) -> None:
        """End the server; harmless when it does not run."""
        if self._process:
            end_group(self._process)
            self._process = None
