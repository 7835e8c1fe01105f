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

from pacer import __version__
from pacer.run.clock import SystemClock, local_now
from pacer.text import _, use_language
from pacer.verbs.console import Arguments, complain, refuse, unwritten_words
from pacer.verbs.targets import add_force

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


def build_parser() -> argparse.ArgumentParser:
    """Every verb and option of the command line."""
    parser = Arguments(
        prog="pacer",
        description=_(
            "A calm countdown on the projector and a private view for the teacher. No verb: the window."
        ),
    )
    parser.add_argument("--version", action="version", version=f"pacer {__version__}")
    parser.add_argument("--data-dir", type=_folder, metavar="DIR", help=_("keep settings and records here"))
    parser.add_argument(
        "--demo", action="store_true", help=_("try it with invented lessons; nothing is kept")
    )
    verbs = parser.add_subparsers(dest="verb", metavar="VERB")
    check = verbs.add_parser("check", help=_("say what is wrong with outline files"))
    check.add_argument("files", nargs="+", type=Path, metavar="FILE")
    verbs.add_parser("schema", help=_("print the JSON Schema of the outline file"))
    log = verbs.add_parser(
        "log",
        help=_("list the day records, or show one; import past durations"),
        usage=_(
            "pacer log [RUN] [--json] [--data-dir DIR]\n       pacer log import FILE.csv [--data-dir DIR]"
        ),
    )
    log.add_argument("run", nargs="?", metavar="RUN", help=_("the number of a day record, or: import"))
    log.add_argument("file", nargs="?", type=Path, metavar="FILE.csv", help=_("a table to import"))
    _add_json(log)
    _add_data_dir(log, _("read records here"))
    restore = verbs.add_parser("restore", help=_("list the copies of the day records, or bring one back"))
    restore.add_argument("which", nargs="?", metavar="WHICH", help=_("the name of a copy, as it is listed"))
    restore.add_argument("--list", action="store_true", help=_("only list the copies"))
    _add_data_dir(restore, _("of the records here"))
    read = verbs.add_parser("read", help=_("print the phases that a text is read as, and the doubts"))
    read.add_argument("file", type=Path, metavar="FILE", help=_("the text; - for standard input"))
    read.add_argument("--json", action="store_true", help=_("as one JSON object"))
    replay = verbs.add_parser("replay", help=_("run an outline through a script of presses"))
    replay.add_argument("outline", type=Path, metavar="OUTLINE")
    replay.add_argument("script", type=Path, metavar="SCRIPT")
    _add_json(replay)
    replay.add_argument(
        "--history", type=_folder, metavar="DIR", help=_("odds from another folder's records")
    )
    _add_history(verbs)
    _add_picture(verbs.add_parser("picture", help=_("paint the Wall and the Desk to files")))
    _add_card(verbs.add_parser("card", help=_("write a lesson's card for paper, as PDF")))
    _add_rotation(verbs.add_parser("rotation", help=_("a week of groups at stations, as even as can be")))
    _add_report(verbs.add_parser("report", help=_("print what Look back shows; as PDF, CSV or JSON, too")))
    return parser


def _add_history(verbs: "argparse._SubParsersAction[Arguments]") -> None:
    budgets = verbs.add_parser("budgets", help=_("print the budgets that past lessons propose"))
    budgets.add_argument(
        "outline", nargs="?", type=Path, metavar="OUTLINE", help=_("for the phases of this outline")
    )
    backtest = verbs.add_parser(
        "backtest", help=_("print how good forecasts of past lessons would have been")
    )
    for verb in (budgets, backtest):
        _add_json(verb)
        _add_data_dir(verb, _("read records here"))


def _add_json(verb: argparse.ArgumentParser) -> None:
    verb.add_argument("--json", action="store_true", help=_("one JSON object a line"))


def _add_data_dir(verb: argparse.ArgumentParser, what: str) -> None:
    """The folder may stand before the verb or behind it."""
    verb.add_argument("--data-dir", type=_folder, metavar="DIR", default=argparse.SUPPRESS, help=what)


def _folder(text: str) -> Path:
    if not text.strip():
        raise argparse.ArgumentTypeError(_("name a folder"))
    if os.path.lexists(text) and not os.path.isdir(text):  # noqa: PTH112 - Path.is_dir may raise
        raise argparse.ArgumentTypeError(_("{path} is a file; name a folder", path=text))
    return Path(text)


def _add_picture(picture: argparse.ArgumentParser) -> None:
    picture.add_argument("outline", type=Path, metavar="OUTLINE")
    picture.add_argument(
        "--script", type=Path, metavar="SCRIPT", help=_("presses; without it all goes to plan")
    )
    picture.add_argument("--at", required=True, metavar="M:SS", help=_("minutes and seconds from the start"))
    picture.add_argument("--wall", type=Path, metavar="PNG", help=_("where to paint the Wall"))
    picture.add_argument("--desk", type=Path, metavar="PNG", help=_("where to paint the Desk"))
    add_force(picture)
    picture.add_argument("--size", default="1920x1080", metavar="WxH", help=_("size in pixels"))


def _add_card(card: argparse.ArgumentParser) -> None:
    card.add_argument("outline", nargs="?", type=Path, metavar="OUTLINE")
    card.add_argument(
        "--squares", action="store_true", help=_("instead: how to read the minute squares, for children")
    )
    card.add_argument("--start", metavar="H:MM", help=_("when the block starts, usually 9:00"))
    card.add_argument(
        "--date",
        metavar="YYYY-MM-DD",
        help=_("of this day, in its day shape; without it, of today as written"),
    )
    _add_data_dir(card, _("of the day shapes here"))
    card.add_argument("--paper", choices=("A4", "Letter"), default="A4", help=_("size of the paper"))
    card.add_argument("--pdf", type=Path, required=True, metavar="FILE", help=_("where to write the page"))
    add_force(card)


def _add_rotation(rotation: argparse.ArgumentParser) -> None:
    rotation.add_argument(
        "outlines",
        nargs="*",
        type=Path,
        metavar="OUTLINE",
        help=_("the outlines of the week, Monday's first"),
    )
    rotation.add_argument("--groups", metavar="N", help=_("how many, or their names: Circle,Star,Moon"))
    rotation.add_argument(
        "--stations", metavar="N", help=_("how many, or their names, the teacher's table first")
    )
    rotation.add_argument(
        "--days", type=int, metavar="N", help=_("days of the week; else one an outline, or 5")
    )
    rotation.add_argument("--visits", metavar="N", help=_("visits a day, or of each day: 3,3,2,3,3"))
    rotation.add_argument(
        "--meet", action="append", default=[], metavar="N",
        help=_("how often every group meets the teacher at least; for one: Circle=4"),
    )  # fmt: skip
    rotation.add_argument(
        "--owed", action="append", default=[], metavar="GROUP=M:SS", help=_("minutes owed to a group")
    )
    rotation.add_argument(
        "--repeats", action="store_true", help=_("a group may come to one station twice on one day")
    )
    rotation.add_argument(
        "--write", action="store_true", help=_("put the order of each day into its outline")
    )
    _add_json(rotation)


def _add_report(report: argparse.ArgumentParser) -> None:
    report.add_argument(
        "--from", dest="since", metavar="DATE", help=_("from this day on, written like 2026-03-09")
    )
    report.add_argument("--to", dest="until", metavar="DATE", help=_("up to this day"))
    report.add_argument("--pdf", type=Path, metavar="FILE", help=_("write the coach copy, one page"))
    report.add_argument("--paper", choices=("A4", "Letter"), default="A4", help=_("size of the paper"))
    report.add_argument(
        "--csv",
        metavar="FILE",
        help=_("write the phases as a table; or every table into a folder, named with a / at its end"),
    )
    _add_json(report)
    add_force(report)
    report.add_argument(
        "--demo", action="store_true", default=argparse.SUPPRESS, help=_("of invented lessons")
    )
    _add_data_dir(report, _("read records here"))


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
    if options.verb == "picture":
        from pacer.verbs.picture import picture_verb

        return picture_verb(options, _paint)
    if options.verb == "card":
        from pacer.verbs.card import card_verb

        return card_verb(options, _draw_page, local_now(SystemClock()))
    if options.verb == "rotation":
        from pacer.verbs.rotation import rotation_verb

        return rotation_verb(options)
    if options.verb == "report":
        from pacer.verbs.report import report_verb

        return report_verb(options, _draw_coach_copy)
    if options.verb == "read":
        from pacer.verbs.read import read_verb

        return read_verb(options.file, options.json, _pdf_text)
    if options.verb == "log":
        return _log(options)
    if options.verb == "restore":
        from pacer.verbs.restore import restore_verb

        return restore_verb(options.data_dir, options.which, only_list=options.list, clock=SystemClock())
    if options.verb in ("budgets", "backtest"):
        from pacer.verbs.history import backtest_verb, budgets_verb

        if options.verb == "backtest":
            return backtest_verb(options.data_dir, options.json, options.demo)
        return budgets_verb(options.data_dir, options.outline, options.json, options.demo)
    if options.verb is not None:
        from pacer.verbs import without_window as verbs

        if options.verb == "check":
            return verbs.check(options.files, _open_looker, _measure, options.data_dir)
        if options.verb == "schema":
            return verbs.schema()
        return verbs.replay_verb(options.outline, options.script, options.json, options.history)
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
