"""The coach copy: one page on A4 and Letter, real text, black and white, and never more than fits."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from PySide6.QtCore import QSize
from PySide6.QtGui import QImage, QPainter, qBlue, qGreen, qRed
from PySide6.QtPdf import QPdfDocument

from pacer.frames.words.choice import choice_words
from pacer.qt.paper.coach_copy import CoachHeading, coach_pdf
from pacer.qt.paper.pages import PaperError
from pacer.review.choice import LessonChoice
from tests.qt.charts.chart_factories import KINDS, how_long, late_steps, over_usually, where_time

HEADING = CoachHeading("Invented: thirds on a number line", "2 Sep to 17 Jan", "90 lessons · live", 90)
LINES = (
    "Groups started 4:10 late on average: off by five fifths, the office said.",
    "One thing tomorrow: two problems in review.",
)
FOUR = (where_time(20), late_steps(20), over_usually(20), how_long(20))


def opened(path: Path) -> tuple[QPdfDocument, QImage]:
    document = QPdfDocument(None)
    document.load(str(path))
    drawn = document.render(0, QSize(900, 1200))
    image = QImage(drawn.size(), QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    with QPainter(image) as painter:
        painter.drawImage(0, 0, drawn)
    return document, image


def words_of(document: QPdfDocument) -> str:
    return " ".join(document.getAllText(0).text().split())


@pytest.mark.parametrize(("size", "points"), [("A4", (595, 842)), ("Letter", (612, 792))])
@pytest.mark.parametrize("count", [0, 1, 2, 3, 4])
def test_all_that_was_chosen_is_text_on_one_page(qapp, tmp_path, size, points, count) -> None:
    path = tmp_path / "coach.pdf"
    coach_pdf(path, size, HEADING, FOUR[:count], LINES)
    document, image = opened(path)
    page = document.pagePointSize(0)
    assert document.pageCount() == 1
    assert (page.width(), page.height()) == pytest.approx(points, abs=1)
    text = words_of(document)
    for words in (
        HEADING.title,
        HEADING.dates,
        *LINES,
        "the log belongs to the teacher",
        "no measure of teacher quality",
    ):
        assert words in text
    assert "90 lessons · live" in text
    for chart in FOUR[:count]:
        assert chart.title in text
        assert chart.summary in text
        assert [key.text for key in chart.keys if key.text not in text] == []
    margins = [image.pixel(x, y) for x in range(0, 900, 5) for y in (*range(0, 50), *range(1150, 1200))]
    assert set(margins) == {0xFFFFFFFF}, "nothing runs off the paper"


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("days", [0, 1, 900])
def test_every_kind_of_picture_is_vectors_in_greys(qapp, tmp_path, kind, days) -> None:
    path = tmp_path / "coach.pdf"
    coach_pdf(path, "A4", HEADING, (KINDS[kind](days),), ())
    document, image = opened(path)
    raw = path.read_bytes()
    assert b"/Subtype /Image" not in raw
    assert re.search(rb"/FontFile\d?", raw), "the type is in the file"
    assert KINDS[kind](days).summary in words_of(document)
    pixels = {image.pixel(x, y) for x in range(0, 900, 2) for y in range(0, 1200, 2)}
    assert len(pixels) > 1
    # One unit for what rounding does to a blended edge.
    assert all(max(qRed(p), qGreen(p), qBlue(p)) - min(qRed(p), qGreen(p), qBlue(p)) <= 1 for p in pixels)


@pytest.mark.parametrize(
    ("charts", "lines", "told"),
    [
        ((*FOUR, where_time(1)), (), "4 pictures at most, and 5 were chosen. Choose fewer."),
        ((), ["A line that the teacher chose."] * 60, "longer than one page. Choose fewer lines."),
        (
            FOUR,
            ["A line that the teacher chose."] * 30,
            "does not fit on the page beside the rest. Choose fewer",
        ),
    ],
)
@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_more_than_a_page_is_refused_in_words_and_nothing_is_written(
    qapp, tmp_path, size, charts, lines, told
) -> None:
    path = tmp_path / "coach.pdf"
    with pytest.raises(ValueError, match=re.escape(told)):
        coach_pdf(path, size, HEADING, charts, lines)
    assert not path.exists()


def test_a_long_title_and_long_lines_are_wrapped_within_the_page(qapp, tmp_path) -> None:
    heading = CoachHeading(
        "Thirds and fourths on a number line " * 4, "2 Sep to 17 Jan", "90 lessons · live", 90
    )
    coach_pdf(tmp_path / "coach.pdf", "Letter", heading, FOUR[:2], ["A sentence of many words. " * 12])
    document, image = opened(tmp_path / "coach.pdf")
    assert words_of(document).count("A sentence of many words.") == 12
    assert {image.pixel(x, y) for x in range(860, 900) for y in range(0, 1200, 3)} == {0xFFFFFFFF}


def test_the_heading_of_chosen_days_names_their_dates_their_choice_and_their_number() -> None:
    days = [SimpleNamespace(date=date) for date in ("2026-03-11", "2026-03-09", "2026-03-11")]
    heading = CoachHeading.of(days, LessonChoice())
    assert (heading.dates, heading.lessons) == ("9 Mar 2026 to 11 Mar 2026", 3)
    assert heading.choice == choice_words(LessonChoice(), 3)
    assert CoachHeading.of(days[:1], LessonChoice()).dates == "11 Mar 2026"
    assert CoachHeading.of([], LessonChoice()).dates == ""


def test_a_place_that_cannot_be_written_is_told(qapp, tmp_path) -> None:
    with pytest.raises(PaperError, match=r"can't be written: .* Choose another place\."):
        coach_pdf(tmp_path / "missing" / "coach.pdf", "A4", HEADING, (), LINES)
