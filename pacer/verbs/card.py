"""The verb card: one page of paper as PDF, for the day the laptop dies; or how to read the minute squares."""

import argparse
import os
import re
from datetime import date, datetime, time
from typing import Protocol

from pacer.frames.paper_card import PaperCard, paper_card
from pacer.plan.day_shapes import on_a_day, too_long_s
from pacer.settings.folders import folders
from pacer.settings.store import only_read
from pacer.text import _
from pacer.verbs import targets
from pacer.verbs.console import refuse
from pacer.verbs.display import qt_complaint
from pacer.verbs.targets import TargetError
from pacer.verbs.without_window import load_pair


class DrawPage(Protocol):
    """Draws a card, or without one the page about the squares, as PDF."""

    def __call__(self, card: PaperCard | None, paper: str) -> bytes:
        """The content of the file."""


def card_verb(options: argparse.Namespace, draw: DrawPage, today: datetime) -> int:
    """Write the page. 1: a problem with the input or the file; 2: it can't be drawn here."""
    if options.squares == (options.outline is not None):
        return refuse(_("Name one outline, or write --squares for the page about the minute squares."))
    try:
        day = today.date() if options.date is None else date.fromisoformat(options.date)
    except ValueError:
        return refuse(_("--date {date} won't do; write a day such as 2026-03-09.", date=options.date))
    shape = None if options.date is None else only_read(folders(options.data_dir).settings_file).shape_on(day)
    wanted = options.start
    if wanted is None:
        wanted = "9:00" if shape is None else shape.start
    start = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", wanted)
    if start is None:
        return refuse(_("--start {start} won't do; write a clock time, such as 9:00.", start=options.start))
    card = None
    if options.outline is not None and os.path.realpath(options.outline) == os.path.realpath(options.pdf):
        return refuse(_("The page would overwrite the outline. Name it otherwise."))
    try:
        targets.check(options.pdf, force=options.force)
    except TargetError as error:
        return refuse(error)
    if options.outline is not None:
        pair = load_pair(options.outline, None)
        if pair is None:
            return 1
        outline = pair[0]
        if shape is not None:
            outline = on_a_day(outline, shape, recut=too_long_s(outline, shape) > 0)
        begins = datetime.combine(day, time(int(start[1]), int(start[2])))
        card = paper_card(outline, begins, "" if shape is None else shape.name)
    complaint = qt_complaint(painting_only=True)
    if complaint:
        return refuse(complaint, 2)
    try:
        targets.write(options.pdf, draw(card, options.paper), force=options.force)
    except TargetError as error:
        return refuse(error)
    targets.say_written(options.pdf)
    return 0
