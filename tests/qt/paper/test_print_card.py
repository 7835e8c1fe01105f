"""The card from the window: never over a file about which nobody was asked."""

from datetime import datetime

import pytest
from PySide6.QtPdf import QPdfDocument
from PySide6.QtPrintSupport import QPrintDialog, QPrinter
from PySide6.QtWidgets import QDialog, QWidget

from pacer.frames.paper_card import paper_card
from pacer.qt.paper.print_card import print_card, write_card
from tests.qt.window_factories import settle

NINE = datetime(2026, 3, 9, 9, 0)


def test_a_name_that_got_its_ending_from_pacer_is_not_written_over_another_file(qapp, invented, tmp_path):
    """The file chooser asked about the name that was typed, not about the one with an ending."""
    taken = tmp_path / "card.pdf"
    taken.write_text("mine")
    assert (
        write_card(tmp_path / "card", paper_card(invented, NINE))
        == f"{taken} is there already. Choose another name."
    )
    assert taken.read_text() == "mine"


def test_a_name_that_the_file_chooser_asked_about_is_written_over(qapp, invented, tmp_path):
    taken = tmp_path / "card.pdf"
    taken.write_text("mine")
    assert write_card(taken, paper_card(invented, NINE)).startswith(f"The card is in {taken}. ")
    assert taken.read_bytes().startswith(b"%PDF")


@pytest.fixture
def window(dressed):
    made = QWidget()
    yield made
    made.close()
    made.deleteLater()
    settle()


@pytest.fixture
def answered(monkeypatch, tmp_path):
    """The system's print dialog, answered with a printer that makes a PDF; its title and paper are noted."""
    asked = []

    def answer(result: QDialog.DialogCode):
        def run(dialog: QPrintDialog) -> QDialog.DialogCode:
            printer = dialog.printer()
            asked.append((dialog.windowTitle(), printer.docName()))
            printer.setOutputFormat(QPrinter.OutputFormat.PdfFormat)
            printer.setOutputFileName(str(tmp_path / "printed.pdf"))
            return result

        monkeypatch.setattr(QPrintDialog, "exec", run)
        return asked

    return answer


def words_of(path) -> list[str]:
    document = QPdfDocument(None)
    document.load(str(path))
    return [document.getAllText(number).text() for number in range(document.pageCount())]


def test_the_card_goes_to_the_printer_with_date_shape_and_every_phase(window, answered, invented, tmp_path):
    asked = answered(QDialog.DialogCode.Accepted)
    told = print_card(window, paper_card(invented, NINE, "Early release"))
    assert told == "The card of Monday 9 March 2026 went to the printer."
    assert asked == [("Print the card of Monday 9 March 2026", f"2026-03-09 {invented.title}")]
    (words,) = words_of(tmp_path / "printed.pdf")
    assert "Monday 9 March 2026 · Early release" in words
    assert all(phase.title in words for phase in invented.phases)
    assert "swap 9:40" in words


def test_a_cancelled_print_prints_nothing_and_tells_nothing(window, answered, invented, tmp_path):
    answered(QDialog.DialogCode.Rejected)
    assert print_card(window, paper_card(invented, NINE)) == ""
    assert not (tmp_path / "printed.pdf").exists()


@pytest.mark.qt_log_ignore("Returned false")  # Qt's own words on the way
def test_a_printer_that_does_not_take_it_is_told_with_the_way_out(window, monkeypatch, invented, tmp_path):
    def run(dialog: QPrintDialog) -> QDialog.DialogCode:
        dialog.printer().setOutputFormat(QPrinter.OutputFormat.PdfFormat)
        dialog.printer().setOutputFileName(str(tmp_path / "no such folder" / "card.pdf"))
        return QDialog.DialogCode.Accepted

    monkeypatch.setattr(QPrintDialog, "exec", run)
    told = print_card(window, paper_card(invented, NINE))
    assert told == "The printer does not take the card. Choose another one, or save it as a PDF."


def test_notes_stand_on_the_page_where_there_is_room_and_else_on_the_next(qapp, invented, tmp_path):
    def noted(times: int) -> list[str]:
        phases = tuple(
            phase.model_copy(update={"notes": "Point at the line. " * times}) for phase in invented.phases
        )
        write_card(tmp_path / "card.pdf", paper_card(invented.model_copy(update={"phases": phases}), NINE))
        return words_of(tmp_path / "card.pdf")

    (short,) = noted(1)
    assert "Skip count: Point at the line." in short
    first, second = noted(25)
    assert "Point at the line" not in first
    assert second.startswith(f"Notes · {invented.title} · Monday 9 March 2026")
    assert second.split().count("Point") == 25 * len(invented.phases)
