"""Arguments, then a verb without a window, or the windows."""

import argparse
import gc
import io
import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from pacer.run.clock import SystemClock, local_now
from pacer.text import _, use_language
from pacer.verbs.arguments import build_parser
from pacer.verbs.console import complain, refuse, unwritten_words

if TYPE_CHECKING:
    from pacer.frames.desk import DeskFrame
    from pacer.frames.paper_card import PaperCard
    from pacer.frames.pictures.chart import Chart
    from pacer.frames.wall import WallFrame
    from pacer.plan.outline import Outline
    from pacer.plan.taken.taken import Taken
    from pacer.qt.attachments.process import Looker
    from pacer.review.choice import LessonChoice
    from pacer.review.days import Day


def main(arguments: Sequence[str] | None = None) -> int:
    """Run Pacer. Returns the exit code: 0 fine, 1 a problem in a file, 2 no way to go on."""
    use_language()
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal that has no letter for a title must not stop the table.
            stream.reconfigure(errors="backslashreplace")
    try:
        try:
            return _run(build_parser().parse_args(arguments))
        finally:
            if sys.stdout is not None:
                sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read our output went away; that is no fault to report.
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return 0
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        return refuse(unwritten_words(error), 2)
    except KeyboardInterrupt:
        return 130


def _run(options: argparse.Namespace) -> int:
    match options.verb:
        case None:
            return _windows(options)
        case "check":
            from pacer.verbs.without_window import check

            return check(options.files, _open_looker, _measure, options.data_dir)
        case "schema":
            from pacer.verbs.without_window import schema

            return schema()
        case "log":
            return _log(options)
        case "restore":
            from pacer.verbs.restore import restore_verb

            return restore_verb(options.data_dir, options.which, only_list=options.list, clock=SystemClock())
        case "read":
            from pacer.verbs.read import read_verb

            return read_verb(options.file, options.json, _pdf_text)
        case "replay":
            from pacer.verbs.without_window import replay_verb

            return replay_verb(options.outline, options.script, options.json, options.history)
        case "budgets":
            from pacer.verbs.history import budgets_verb

            return budgets_verb(options.data_dir, options.outline, options.json, options.demo)
        case "backtest":
            from pacer.verbs.history import backtest_verb

            return backtest_verb(options.data_dir, options.json, options.demo)
        case "picture":
            from pacer.verbs.picture import picture_verb

            return picture_verb(options, _paint)
        case "card":
            from pacer.verbs.card import card_verb

            return card_verb(options, _draw_page, local_now(SystemClock()))
        case "rotation":
            from pacer.verbs.rotation import rotation_verb

            return rotation_verb(options)
        case "report":
            from pacer.verbs.report import report_verb

            return report_verb(options, _draw_coach_copy)
    raise AssertionError("the parser knows no other verb")


def _windows(options: argparse.Namespace) -> int:
    """Open the windows; without a screen the demo paints what they would show."""
    from pacer.verbs.display import has_display, qt_complaint

    if options.demo and options.data_dir is not None:
        return refuse(_("--demo keeps nothing, so it takes no --data-dir. Leave one of them out."), 2)
    if options.demo and not has_display():
        from pacer.verbs.headless_demo import headless_demo

        return headless_demo(_paint, SystemClock())
    complaint = qt_complaint() if has_display() else _("There is no screen here. Try: pacer --demo")
    if complaint:
        return refuse(complaint, 2)
    without_needless_work()
    from pacer.qt.start import run_app

    return run_app(options.data_dir, demo=options.demo)


def without_needless_work() -> None:
    """Spare a start of the windows what is of no use to it; call it before anything of Qt is imported.

    That is: a search of all packages for plugins, reading every module's source, and collecting garbage, of
    which loading makes little; ``Collecting.settle`` lets it be collected again.
    """
    gc.disable()
    from pacer.qt.kit.binding import leave_plugins_unsought, leave_sources_unread

    leave_plugins_unsought()
    leave_sources_unread()


def _log(options: argparse.Namespace) -> int:
    """List, show or import; a file is only named for an import, and an import needs one."""
    if (options.run == "import") != (options.file is not None):
        return refuse(
            _("To import a table: pacer log import FILE.csv. To show a day record: pacer log RUN"), 2
        )
    if options.file is not None:
        from pacer.verbs.history import import_verb

        return import_verb(options.data_dir, options.file, SystemClock())
    from pacer.verbs.without_window import log_verb

    return log_verb(options.data_dir, options.run, options.json)


def _paint(
    frame: "WallFrame | DeskFrame", width: int, height: int, outline: "Outline | None" = None
) -> bytes:
    """Painting needs Qt; it is only imported when a picture is wanted."""
    from pacer.qt.paper.picture import png

    return png(frame, width, height, outline)


def _draw_page(card: "PaperCard | None", paper: str) -> bytes:
    """Drawing for paper needs Qt, too."""
    from pacer.qt.paper.pages import card_page, squares_page

    size = _size(paper)
    return squares_page(size) if card is None else card_page(card, size)


def _size(paper: str) -> Literal["A4", "Letter"]:
    return "Letter" if paper == "Letter" else "A4"


def _draw_coach_copy(
    paper: str, days: "Sequence[Day]", choice: "LessonChoice", charts: "Sequence[Chart]", lines: Sequence[str]
) -> bytes:
    """So does the coach copy."""
    from pacer.qt.paper.coach_copy import CoachHeading, coach_page

    return coach_page(_size(paper), CoachHeading.of(days, choice), charts, lines)


def _measure(frame: "WallFrame", size: tuple[int, int]) -> "Mapping[str, float] | None":
    """Measuring words on the Wall needs Qt as painting them does; None where it can't be used."""
    from pacer.verbs.display import qt_complaint

    if qt_complaint(painting_only=True):
        return None
    try:
        from pacer.qt.paper.picture import ensure_application
        from pacer.qt.wall.capitals import capital_shares
    except ImportError:
        return None
    ensure_application()
    return capital_shares(frame, size)


def _pdf_text(path: Path) -> "Taken":
    """The text of a PDF; another process loads Qt for it."""
    from pacer.qt.taken.pdf_text import pdf_text

    return pdf_text(path)


@contextmanager
def _open_looker() -> Iterator["Looker"]:
    """Looking into attached files needs Qt; another process loads it, for an outline with any."""
    from pacer.qt.attachments.process import Looker

    with Looker() as looker:
        yield looker
        if looker.blind:
            from pacer.verbs.display import qt_complaint

            complain(
                _("No attached file was opened: Qt can't be used here."), qt_complaint(painting_only=True)
            )


if __name__ == "__main__":
    sys.exit(main())
