"""Pictures of a screen: the Wall as the room would see it, with what is attached."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtCore import QMarginsF, QSizeF
from PySide6.QtGui import QColor, QImage, QPageSize, QPainter, QPdfWriter

from pacer.plan.outline import Outline
from pacer.qt.attachments.drawn import DrawnFiles
from pacer.qt.attachments.process import Looker
from pacer.qt.kit import theme
from pacer.qt.paper.picture import OTHERS, draw, draw_screen, png
from pacer.qt.wall.strip import strip_box
from tests.qt.wall.wall_factories import EDGES, KEY, hidden, pixels, strip, talk, wall

pytestmark = pytest.mark.usefixtures("qapp")
RED, GREEN = (200, 20, 20), (20, 140, 60)
SIZE = (800, 450)


def share_of(image: np.ndarray, colour: tuple[int, ...]) -> float:
    """How much of a picture is of a colour, within a little."""
    return float((np.abs(image.astype(int) - np.array(colour)).sum(axis=2) < 12).mean())


@pytest.mark.parametrize("edge", EDGES)
@pytest.mark.parametrize("frame", [strip(wall()), strip(hidden(wall())), strip(talk())])
def test_a_strip_lies_along_its_edge_in_its_true_size_over_other_programs(frame, edge: str) -> None:
    frame = replace(frame, edge=edge)
    seen = pixels(draw_screen(frame, *SIZE))
    box = strip_box(edge, *SIZE)
    inside = seen[box.y : box.y + box.height, box.x : box.x + box.width]
    assert (inside == pixels(draw(frame, box.width, box.height))).all()
    others = np.ones(seen.shape[:2], dtype=bool)
    others[box.y : box.y + box.height, box.x : box.x + box.width] = False
    assert (seen[others] == OTHERS.getRgb()[:3]).all()


def test_where_the_wall_is_off_only_other_programs_are_seen() -> None:
    assert share_of(pixels(draw_screen(wall(face="off"), *SIZE)), OTHERS.getRgb()[:3]) == 1
    assert share_of(pixels(draw_screen(wall(face="blank"), *SIZE)), theme.PAPER.getRgb()[:3]) == 1


def with_files(outline: Outline, folder: Path, attach: str, page: int = 1) -> Outline:
    phases = list(outline.phases)
    phases[KEY.number] = phases[KEY.number].model_copy(update={"attach": attach, "page": page})
    return outline.model_copy(update={"phases": tuple(phases), "folder": str(folder)})


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    image = QImage(300, 200, QImage.Format.Format_RGB32)
    image.fill(QColor(*RED))
    assert image.save(str(tmp_path / "red.png"))
    writer = QPdfWriter(str(tmp_path / "pages.pdf"))
    writer.setPageSize(QPageSize(QSizeF(200, 150), QPageSize.Unit.Millimeter))
    writer.setPageMargins(QMarginsF(0, 0, 0, 0))
    with QPainter(writer) as painter:
        for colour in (RED, GREEN):
            painter.fillRect(0, 0, writer.width(), writer.height(), QColor(*colour))
            if colour == RED:
                writer.newPage()
    (tmp_path / "torn.png").write_bytes(b"no picture")
    return tmp_path


@pytest.mark.parametrize(
    ("attach", "page", "colour"), [("red.png", 1, RED), ("pages.pdf", 1, RED), ("pages.pdf", 2, GREEN)]
)
def test_an_attached_picture_and_a_page_are_drawn_where_the_room_would_see_them(
    invented: Outline, folder: Path, attach: str, page: int, colour: tuple[int, ...]
) -> None:
    outline = with_files(invented, folder, attach, page)
    frame = wall(fill="picture", picture=KEY._replace(page=page))
    seen = QImage.fromData(png(frame, *SIZE, outline)).convertToFormat(QImage.Format.Format_RGB32)
    assert share_of(pixels(seen), colour) > 0.3
    bare = QImage.fromData(png(frame, *SIZE)).convertToFormat(QImage.Format.Format_RGB32)
    assert share_of(pixels(bare), colour) == 0


def test_what_cant_be_shown_has_the_card_in_its_place(invented: Outline, folder: Path) -> None:
    frame = wall(fill="picture", picture=KEY)
    outline = with_files(invented, folder, "torn.png")
    assert png(frame, *SIZE, outline) == png(frame, *SIZE)
    with Looker() as looker:
        assert (
            DrawnFiles(invented, looker)(KEY, QImage(10, 10, QImage.Format.Format_RGB32).size(), 1.0) is None
        )
