"""Pictures and PDFs attached to phases: where each may lie, and what is wrong with it in plain words."""

import os
import re
import signal
import stat
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

from pacer.plan.bounded_file import UnreadableFileError, unreadable
from pacer.plan.problems import Problem, WhatAndFix, clipped, did_you_mean, mean_words
from pacer.text import _, ngettext

if TYPE_CHECKING:
    from pacer.plan.outline import Outline

ENDINGS = (".png", ".jpg", ".jpeg", ".webp", ".gif", ".bmp", ".pdf")
MOST_BYTES = 50_000_000
MOST_PIXELS = 30_000_000  # what decodes into 120 MB
MOST_PAGES = 200
MOST_TEXT_PAGES = 20  # a lesson of a curriculum has a few: the text of a book is not read
# Seconds of the processor, on a computer of today, after which a file counts as one that can't be drawn: to
# look into, and for the Wall, where a page has many more pixels. A busy computer makes no file cost more.
LOOK_CPU_S, DRAW_CPU_S = 0.9, 5.0
# The same by the clock: of one that sleeps, or where the system holds no process to its time.
LOOK_S = 30 if hasattr(signal, "setitimer") else 10
_DRIVE = re.compile(r"^[A-Za-z]:")

# Opens a file and draws a page of it; returns (what is wrong, what to do next), or None.
LookInto = Callable[[Path, int], WhatAndFix | None]


def attachment_problems(path: Path, outline: "Outline", look_into: LookInto | None = None) -> list[Problem]:
    """What is wrong with the attachments of an outline that was read from ``path``, each with its line.

    Without ``look_into`` only what can be told from outside is checked: name, place, kind and size.
    """
    if not outline.shown_files:
        return []
    from pacer.plan.file.key_lines import lines_in  # late: most outlines show no file

    line_at = lines_in(path)

    @cache  # several phases may show the same page
    def words_about(attach: str, page: int) -> WhatAndFix | None:
        try:
            file = attached_file(outline.folder, attach)
            return None if look_into is None else look_into(file, page)
        except UnreadableFileError as error:
            return error.what, error.fix

    problems = []
    for file in outline.shown_files:
        words = words_about(file.name, file.page)
        if words is not None:
            name = clipped(file.name, 60)
            what = _('{key} = "{name}": {problem}', key=file.place[-1], name=name, problem=words[0])
            problems.append(Problem(str(path), line_at(file.place), what, words[1]))
    return problems


def attached_file(folder: str, attach: str) -> Path:
    """The file that an attachment names, once it may be opened. Raises UnreadableFileError.

    It lies in the outline's folder or below, so that an outline from elsewhere puts nothing on the Wall
    that did not come with it; a link that leads out is refused for the same reason.
    """
    _check_name(attach)
    file = Path(folder, attach)
    try:
        status = os.stat(file)  # noqa: PTH116 - Path.stat hides why some names can't be looked up
        inside = Path(os.path.realpath(file)).is_relative_to(os.path.realpath(folder))
    except (FileNotFoundError, NotADirectoryError):
        raise UnreadableFileError(_("There is no such file."), _fix_of_missing(file)) from None
    except (OSError, ValueError) as error:
        raise unreadable(error) from None
    if not inside:
        raise UnreadableFileError(
            _("A link leads out of the outline's folder."), _("Put a copy of the file beside the outline.")
        )
    _check_kind_and_size(status)
    return file


def _check_name(attach: str) -> None:
    if "\\" in attach:
        raise UnreadableFileError(_("A \\ works on some computers only."), _("Write / between folders."))
    if attach.startswith("/") or _DRIVE.match(attach) or ".." in attach.split("/"):
        raise UnreadableFileError(
            _("This leads out of the outline's folder."),
            _("Put the file beside the outline and write its name only."),
        )
    # A name with a / behind it is the same path, but not the same to whoever looks at how it ends.
    if Path(attach).suffix.lower() not in ENDINGS or not attach.lower().endswith(ENDINGS):
        raise UnreadableFileError(
            _("Files that end like this can't be shown."), _("Save it as PNG, JPG or PDF.")
        )


def _fix_of_missing(file: Path) -> str:
    """What to do about a file that is not there: a name near to it, or where it is looked for."""
    if os.path.lexists(file):
        return _("It is a link to a file that is gone. Put a copy of the file in its place.")
    try:
        names = os.listdir(file.parent)[:2000]  # noqa: PTH208 - names, not paths
    except (OSError, ValueError):
        names = []
    # Without their endings, which make any two names alike.
    stems = {Path(name).stem: name for name in names if name.lower().endswith(ENDINGS)}
    near = did_you_mean(file.stem, stems)
    if near is not None:
        return mean_words(file.name, stems[near])
    return _("It is looked for from the outline's folder on.")


def _check_kind_and_size(status: os.stat_result) -> None:
    if stat.S_ISDIR(status.st_mode):
        raise UnreadableFileError(_("This is a folder."), _("Name a file inside it."))
    if not stat.S_ISREG(status.st_mode):
        raise UnreadableFileError(_("This is not an ordinary file."), _("Name a picture or a PDF."))
    if status.st_size == 0:
        raise UnreadableFileError(_("The file is empty."), _("Save it again."))
    if status.st_size > MOST_BYTES:
        what = _("The file is larger than {size} MB.", size=f"{MOST_BYTES / 1e6:g}")
        raise UnreadableFileError(what, _("Save a smaller copy."))


def inside_words(code: str, figure: int = 0) -> WhatAndFix:
    """What is wrong inside a file, for a code of the reader's; ``figure`` is what the code counts."""
    if code == "too-many-pixels":
        return (
            _("The picture has {n} million pixels, more than {most}.").format(
                n=-(-figure // 1_000_000), most=MOST_PIXELS // 1_000_000
            ),
            _("Save a smaller copy: 4000 pixels wide is plenty."),
        )
    if code == "too-many-pages":
        what = ngettext("The PDF has {n} page, more than {most}.", "The PDF has {n} pages, more than {most}.",
                        figure)  # fmt: skip
        return what.format(n=figure, most=MOST_PAGES), _("Save a copy with only the pages you show.")
    if code == "no-such-page":
        what = ngettext("The PDF has {n} page, so there is none of that number.",
                        "The PDF has {n} pages, so there is none of that number.", figure)  # fmt: skip
        return what.format(n=figure), _("Write page = {n} or less.", n=figure)
    return _plain_words(code)


def _plain_words(code: str) -> WhatAndFix:
    again, simpler = _("Save it again."), _("Save a simpler copy, as PNG for instance.")
    known = {
        "not-a-picture": (_("There is no picture in the file."), _("Save it again as PNG or JPG.")),
        "not-a-pdf": (_("There is no PDF in the file."), _("Save it again as PDF.")),
        "broken-pdf": (_("The PDF is broken, cut short, or has no pages."), again),
        "locked-pdf": (_("The PDF is locked with a password."), _("Save a copy without one.")),
        "slow": (_("It is not drawn after {n} seconds.", n=LOOK_S), simpler),
        "too-much": (_("It is broken, or too much for this computer."), simpler),
        "unreadable": (_("The file can't be read."), _("Check its name, and who may read it.")),
    }
    return known.get(code, (_("The picture is broken or cut short."), again))
