"""What the class will see: late, one at a time, with what is wrong on it."""

from collections.abc import Callable
from pathlib import Path

import pytest
from PySide6.QtCore import QSize

from pacer.frames.legibility import small_words
from pacer.frames.wall import WallLook
from pacer.plan.outline import Outline
from pacer.qt.outline.preview import panel as panel_module
from pacer.qt.outline.preview.painted import marked, painted
from pacer.qt.paper.picture import draw
from pacer.qt.wall.capitals import capital_shares
from pacer.qt.wall.layout import wall_layout
from pacer.qt.wall.pictures import no_picture
from pacer.settings.model import Settings
from tests.qt.attachments.attachment_factories import save

LONG = " ".join(["Look at the number line and tell your partner which is nearer to one half."] * 4)


@pytest.fixture
def outline(new_outline: Callable) -> Outline:
    return new_outline(
        {"title": "Review", "budget": "3"},
        {"title": "Model", "budget": "7", "class_line": LONG},
        {"title": "Practice", "budget": "8"},
    )


def test_nothing_is_worked_out_before_the_typing_rests(preview, outline, hands) -> None:
    for _key in range(3):
        preview.show_outline(outline.model_copy(update={"title": f"T{_key}"}))
        hands.pass_ms(panel_module.LATE_MS - 1)
        assert preview.seen is None
    hands.pass_ms(1)
    assert preview.seen.frame.title == "Review"


def test_the_picture_is_the_walls_own(preview, outline, hands) -> None:
    preview.show_outline(outline)
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.picture.image == draw(preview.seen.frame, 1920, 1080)
    assert preview.seen.frame.least_share == WallLook().least_share


def test_the_chosen_phase_is_shown_and_arrows_walk_on_to_the_bell(preview, outline, hands) -> None:
    preview.show_outline(outline)
    preview.show_phase(1)
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.seen.frame.title == "Model"
    walked = []
    preview.walked.connect(walked.append)
    seen = []
    for _press in range(20):
        preview.forth()
        seen.append(preview.seen.frame.title)
    assert walked == [2]
    assert list(dict.fromkeys(seen)) == ["Practice", "Small groups", "Swap places", "Share", "Clean up"]
    assert not preview.next_button.isEnabled()
    for _press in range(20):
        preview.back()
    assert (preview.seen.frame.title, preview.back_button.isEnabled()) == ("Review", False)


def test_what_the_back_row_cant_read_is_said_beside_it_and_boxed_on_it(preview, outline, hands) -> None:
    found = small_words(outline, Settings(), capital_shares)
    preview.show_outline(outline)
    preview.show_phase(1)
    preview.show_small(found)
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.warnings.isVisible()
    assert preview.warnings.text() == found[0].words
    frame = preview.seen.frame
    (box,) = marked(frame, (1920, 1080), {"class_line"})
    assert box.contains(wall_layout(frame, QSize(1920, 1080)).words["line"].box.rect())
    assert painted(frame, (1920, 1080), no_picture, {"class_line"}) != draw(frame, 1920, 1080)
    preview.show_phase(0)
    hands.pass_ms(panel_module.SOON_MS)
    assert not preview.warnings.isVisible()


def test_a_title_that_is_cut_short_is_said(preview, new_outline, hands) -> None:
    preview.show_outline(new_outline({"title": "Which fraction is nearer to one half " * 3, "budget": "3"}))
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.warnings.text() == "The title is cut short on the Wall: make it shorter."


def test_an_attached_picture_is_shown_and_one_that_is_not_there_is_said(
    preview, new_outline, tmp_path: Path, qtbot, hands
) -> None:
    save(tmp_path / "line.png")
    rows = [{"title": "Model", "budget": "7", "attach": "line.png"},
            {"title": "Look", "budget": "2", "attach": "gone.png"}]  # fmt: skip
    outline = new_outline(*rows).model_copy(update={"folder": str(tmp_path)})
    preview.show_outline(outline)
    hands.pass_ms(panel_module.LATE_MS)
    card = preview.picture.image
    qtbot.waitUntil(lambda: bool(preview.shelf.kept), timeout=60_000)
    hands.pass_ms(panel_module.SOON_MS)
    assert preview.seen.files == ("line.png",)
    assert preview.picture.image != card
    assert not preview.warnings.isVisible()
    preview.show_phase(1)
    hands.pass_ms(panel_module.SOON_MS)
    qtbot.waitUntil(lambda: "gone.png" in preview.shelf.unreadable, timeout=60_000)
    hands.pass_ms(panel_module.SOON_MS)
    assert preview.warnings.text().startswith("“gone.png” is not shown: there is no such file.")


def test_out_of_sight_nothing_is_worked_out(preview, outline, hands) -> None:
    preview.hide()
    preview.show_outline(outline)
    hands.pass_ms(10 * panel_module.LATE_MS)
    assert preview.seen is None
    preview.show()
    hands.pass_ms(panel_module.LATE_MS)
    assert preview.seen.frame.title == "Review"


def test_an_outline_of_nothing_says_what_will_be_there(preview, hands) -> None:
    assert preview.which.text() == "Nothing yet: write a phase with its minutes."
    assert not preview.next_button.isEnabled()
