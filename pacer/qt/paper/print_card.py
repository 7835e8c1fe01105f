"""Asks where the card of a lesson goes as a PDF, writes it, and says in a line what came of it."""

import os
import re
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QWidget

from pacer.plan.outline import Outline
from pacer.qt.kit.files import ask_new_pdf
from pacer.text import _


def usual_paper() -> str:
    """The paper of this computer's country: Letter or A4."""
    american = QLocale.MeasurementSystem.ImperialUSSystem
    return "Letter" if QLocale.system().measurementSystem() == american else "A4"


def print_card(parent: QWidget, outline: Outline, start: datetime) -> str:
    """Ask for a file and write the card there. Returns what to tell; empty when the teacher cancels."""
    name = re.sub(r"[^\w -]+", "", outline.title).strip()[:60] or "card"
    path = ask_new_pdf(parent, _("The card as a PDF"), f"{name}.pdf")
    return "" if path is None else write_card(path, outline, start)


def write_card(path: Path, outline: Outline, start: datetime) -> str:
    """Write the card and say where it is, or why it can't be written."""
    # Loaded here: nobody waits for it at the start of the program.
    from pacer.frames.paper_card import paper_card
    from pacer.qt.paper.pages import PaperError, card_pdf

    if not path.suffix:
        path = path.with_suffix(".pdf")
        if os.path.lexists(path):  # nobody was asked about that name
            return _("{path} is there already. Choose another name.", path=path)
    try:
        card_pdf(paper_card(outline, start), path, "Letter" if usual_paper() == "Letter" else "A4")
    except PaperError as error:
        return str(error)
    return _("The card is in {path}. Print it from there.").format(path=path)
