"""The text of a PDF's first pages, found by the attachments' process; Qt itself is loaded only there."""

from pathlib import Path

from pacer.plan.file.attachments import MOST_TEXT_PAGES, inside_words
from pacer.plan.taken.taken import NotTakenError, Taken, taken
from pacer.qt.attachments.process import Looker
from pacer.text import _, ngettext


def pdf_text(path: Path) -> Taken:
    """The text of a PDF's first pages, from a process that can be ended. Raises NotTakenError."""
    with Looker() as looker:
        answer = looker.text(path)
    if answer is None:
        raise NotTakenError(_("A PDF can't be read here."), _("Open it, copy its text and paste it."))
    if answer.code:
        what, fix = inside_words(answer.code, answer.figure)
        raise NotTakenError(what, fix)
    if not answer.text.strip():
        raise NotTakenError(
            _("The PDF holds pictures of text and no text."),
            _("It can be shown with a phase: drop it on the phase. Or type the lesson."),
        )
    later = answer.pages - MOST_TEXT_PAGES
    aside = [ngettext("{n} later page is not read.", "{n} later pages are not read.", later).format(n=later)]
    return taken([("", answer.text)], aside if later > 0 else [])
