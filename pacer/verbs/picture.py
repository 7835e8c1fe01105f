"""The verb picture: what both windows show at a moment, painted to files without a display."""

import argparse
import os
import re
from typing import Protocol

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.plan.durations import parse_duration
from pacer.plan.outline import Outline
from pacer.text import _
from pacer.verbs import targets
from pacer.verbs.console import refuse
from pacer.verbs.display import qt_complaint
from pacer.verbs.replay import run_to
from pacer.verbs.script import LONGEST_S
from pacer.verbs.targets import TargetError
from pacer.verbs.without_window import load_pair, say_refused

LEAST, MOST = 64, 8192


class PaintFrame(Protocol):
    """Paints a screen with a frame as a PNG of a size in pixels, with what is attached to the outline."""

    def __call__(
        self, frame: WallFrame | DeskFrame, width: int, height: int, outline: Outline | None = None
    ) -> bytes:
        """The content of the file."""


def picture_verb(options: argparse.Namespace, paint: PaintFrame) -> int:
    """Paint the Wall, the Desk or both. 1: a problem with input or files; 2: no painting here."""
    size = re.fullmatch(r"(\d{1,5})x(\d{1,5})", options.size)
    if not size or not all(LEAST <= int(side) <= MOST for side in size.groups()):
        return refuse(_("--size {size} won't do; write for example 1920x1080.", size=options.size))
    try:
        at_s = parse_duration(options.at)
    except ValueError:
        at_s = -1
    if not 0 <= at_s <= LONGEST_S:
        return refuse(_("--at {at} won't do; write minutes and seconds, 12:30.", at=options.at))
    if options.wall is None and options.desk is None:
        return refuse(_("Say where to paint: --wall W.png, --desk D.png or both."))
    if _overwrites(options):
        return refuse(_("A picture would overwrite another file of this command. Name it otherwise."))
    wanted = [path for path in (options.wall, options.desk) if path is not None]
    try:
        for path in wanted:
            targets.check(path, force=options.force)
    except TargetError as error:
        return refuse(error)
    pair = load_pair(options.outline, options.script)
    if pair is None:
        return 1
    complaint = qt_complaint(painting_only=True)
    if complaint:
        return refuse(complaint, 2)
    run = run_to(pair[0], pair[1], at_s)
    seen = run.moment(at_s, None)
    frames = ((options.wall, seen.wall), (options.desk, seen.desk))
    # All is painted before anything is written.
    wide, high = int(size[1]), int(size[2])
    painted = [(path, paint(frame, wide, high, pair[0])) for path, frame in frames if path is not None]
    for path, data in painted:
        try:
            targets.write(path, data, force=options.force)
        except TargetError as error:
            return refuse(error)
        targets.say_written(path)
    return say_refused(run, options.script)


def _overwrites(options: argparse.Namespace) -> bool:
    """Whether a target is the outline, the script or the other target."""
    targets = [os.path.realpath(path) for path in (options.wall, options.desk) if path is not None]
    sources = [os.path.realpath(path) for path in (options.outline, options.script) if path is not None]
    return len(set(targets)) < len(targets) or any(target in sources for target in targets)
