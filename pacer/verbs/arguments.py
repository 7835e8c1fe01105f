"""The verbs and options of the command line, each with its words of help."""

import argparse
import os
from pathlib import Path

from pacer import __version__
from pacer.text import _
from pacer.verbs.console import Arguments
from pacer.verbs.targets import add_force


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
