"""The card of a lesson goes to a printer, by the system's own dialog, or into a PDF; says what came of it."""

import re
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QDialog, QWidget

from pacer.frames.paper_card import PaperCard
from pacer.qt.kit.files import ask_new_pdf
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.paper.pages import Paper


def usual_paper() -> "Paper":
    """The paper of this computer's country: Letter or A4."""
    american = QLocale.MeasurementSystem.ImperialUSSystem
    return "Letter" if QLocale.system().measurementSystem() == american else "A4"


def print_card(parent: QWidget, card: PaperCard) -> str:
    """Print a card on the printer that is chosen. Returns what to tell; empty when the teacher cancels."""
    # Loaded here: nobody waits for it at the start of the program.
    from PySide6.QtPrintSupport import QPrintDialog, QPrinter

    from pacer.qt.paper.pages import PaperError, paint_card, set_up_page

    printer = QPrinter(QPrinter.PrinterMode.HighResolution)
    printer.setDocName(card.file_name)
    set_up_page(printer, usual_paper())
    dialog = QPrintDialog(printer, parent)
    dialog.setWindowTitle(_("Print the card of {day}", day=card.day))
    try:
        if dialog.exec() != QDialog.DialogCode.Accepted:
            return ""
        paint_card(printer, card)
    except PaperError as error:
        return str(error)
    finally:
        dialog.deleteLater()
    return _("The card of {day} went to the printer.", day=card.day)


def save_card(parent: QWidget, card: PaperCard) -> str:
    """Ask for a file and write the card there. Returns what to tell; empty when the teacher cancels."""
    path = ask_new_pdf(parent, _("The card as a PDF"), f"{_safe(card.file_name)}.pdf")
    return "" if path is None else write_card(path, card)


def write_card(path: Path, card: PaperCard) -> str:
    """Write the card and say where it is, or why it can't be written."""
    from pacer.qt.paper.pages import PaperError, card_pdf

    try:
        written = card_pdf(card, path, usual_paper())
    except PaperError as error:
        return str(error)
    return _("The card is in {path}. Print it from there.", path=written)


def _safe(name: str) -> str:
    """A file name that every system takes."""
    return re.sub(r"[^\w -]+", "", name).strip()[:80] or "card"
