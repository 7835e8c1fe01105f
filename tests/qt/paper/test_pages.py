"""Pages for paper: one page each, on A4 and Letter, black on white, with everything on it."""

from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtPdf import QPdfDocument

from pacer.frames.paper_card import paper_card
from pacer.qt.paper.pages import PaperError, card_pdf, squares_page

NINE = datetime(2026, 3, 9, 9, 0)


def pages(path: Path) -> tuple[QPdfDocument, QImage]:
    document = QPdfDocument(None)
    document.load(str(path))
    drawn = document.render(0, QSize(600, 800))
    image = QImage(drawn.size(), QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    with QPainter(image) as painter:
        painter.drawImage(0, 0, drawn)
    return document, image


def is_grey(image: QImage) -> bool:
    colours = {image.pixel(x, y) for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)}
    return all(QColor(c).red() == QColor(c).green() == QColor(c).blue() for c in colours) and len(colours) > 1


@pytest.mark.parametrize(("paper", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
def test_the_card_is_one_page_without_colour_that_names_every_phase(
    qapp, invented, tmp_path, paper, points
) -> None:
    path = tmp_path / "card.pdf"
    card_pdf(paper_card(invented, NINE), path, paper)
    document, image = pages(path)
    size = document.pagePointSize(0)
    assert document.pageCount() == 1
    assert (size.width(), size.height()) == pytest.approx(points, abs=1)
    text = document.getAllText(0).text()
    for row in paper_card(invented, NINE).rows:
        assert row.title in text
        assert row.move_by in text
    assert is_grey(image)


def test_sixteen_phases_still_fit_on_one_page(qapp, new_outline, tmp_path) -> None:
    outline = new_outline(*({"budget": "2", "class_line": "Show me"} for _n in range(16)))
    card_pdf(paper_card(outline, NINE), tmp_path / "card.pdf", "Letter")
    document, image = pages(tmp_path / "card.pdf")
    assert "P16" in document.getAllText(0).text()
    margin = [image.pixel(x, y) for x in range(0, 600, 3) for y in range(770, 800)]
    assert set(margin) == {0xFFFFFFFF}, "nothing runs off the paper"


def test_the_page_for_children_is_one_page_without_colour(qapp, tmp_path) -> None:
    (tmp_path / "squares.pdf").write_bytes(squares_page("A4"))
    document, image = pages(tmp_path / "squares.pdf")
    assert document.pageCount() == 1
    assert "One square is one minute." in document.getAllText(0).text()
    assert is_grey(image)


def test_a_place_that_cannot_be_written_is_told_in_words(qapp, invented, tmp_path) -> None:
    with pytest.raises(PaperError, match=r"can't be written: .* Choose another place\."):
        card_pdf(paper_card(invented, NINE), tmp_path / "missing" / "card.pdf")
