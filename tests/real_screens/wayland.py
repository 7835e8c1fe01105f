"""Two screens of a Wayland compositor for tests: sway without hardware, which never runs as root."""

import os
import shutil
import subprocess
import tempfile
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.real_screens.child_process import dies_with_us, end_group, wait_until

SCREENS = ("HEADLESS-1", "HEADLESS-2")
COMMANDS = ("sway", "grim", "setpriv")
_NOBODY = 65534
_CONFIG = """\
output HEADLESS-1 resolution 1368x768 position 0 0
output HEADLESS-2 resolution 1280x720 position 1368 0
xwayland disable
"""


class TwoWaylandScreens:
    """A laptop's screen and a projector's, side by side."""

    def __enter__(self) -> Self:
        """Start the compositor and wait until it answers."""
        # Not below pytest's folder, which others may not enter.
        self._folder = tempfile.TemporaryDirectory(prefix="pacer-wayland-")
        run = Path(self._folder.name)
        (run / "config").write_text(_CONFIG)
        command = ["sway", "-c", str(run / "config")]
        if os.geteuid() == 0:
            for path in (run, run / "config"):
                os.chown(path, _NOBODY, _NOBODY)
            command = ["setpriv", f"--reuid={_NOBODY}", f"--regid={_NOBODY}", "--clear-groups", *command]
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("QT_", "WAYLAND_"))}
        kept.pop("DISPLAY", None)
        self._env = kept | {"XDG_RUNTIME_DIR": str(run)}
        headless = {"WLR_BACKENDS": "headless", "WLR_HEADLESS_OUTPUTS": "2", "WLR_RENDERER": "pixman"}
        with (run / "out").open("wb") as out:
            self._process = subprocess.Popen(
                dies_with_us(command), env=self._env | headless | {"WLR_LIBINPUT_NO_DEVICES": "1"},
                stdin=subprocess.DEVNULL, stdout=out, stderr=out, start_new_session=True,
            )  # fmt: skip
        sockets = wait_until(lambda: [p for p in run.glob("wayland-?") if p.is_socket()], "sway's socket")
        self._env |= {"WAYLAND_DISPLAY": sockets[0].name}
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End it and remove its folder."""
        end_group(self._process)
        self._folder.cleanup()

    def env(self) -> dict[str, str]:
        """The environment for a child process: ours, on these screens, through Qt's Wayland plugin."""
        return self._env | {"QT_QPA_PLATFORM": "wayland"}

    def command(self, text: str) -> None:
        """Have the compositor do something, in its own words."""
        (socket,) = Path(self._folder.name).glob("sway-ipc.*.sock")
        subprocess.run(["swaymsg", "-s", str(socket), text], env=self._env, check=True, capture_output=True)

    def screenshot(self, path: Path, screen: str) -> Path:
        """Write a picture of one screen and return its path."""
        subprocess.run(["grim", "-o", screen, str(path)], env=self._env, check=True, capture_output=True)
        return path


def missing_commands() -> list[str]:
    """What has still to be installed."""
    return [command for command in COMMANDS if not shutil.which(command)]
