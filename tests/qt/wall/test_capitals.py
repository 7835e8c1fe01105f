"""What the back row can read of outlines, measured on the Wall's own layout."""

from dataclasses import replace
from pathlib import Path

import pytest

from pacer.frames.legibility import small_words
from pacer.frames.wall import LEAST_SHARE
from pacer.paths import template_folder
from pacer.plan.file.reader import read_outline
from pacer.qt.wall.capitals import capital_shares
from pacer.settings.model import Settings
from tests.qt.wall.wall_factories import share, talk, wall

pytestmark = pytest.mark.usefixtures("qapp")
TEMPLATES = sorted(template_folder().glob("*.toml"))


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.stem)
@pytest.mark.parametrize("looks", [{}, {"wall_digits": False}, {"wall_squares": False}])
def test_the_back_row_can_read_every_template_on_wide_and_narrow_pictures(path: Path, looks: dict) -> None:
    """Nine metres from a picture 1 m high, and where nothing was measured."""
    outline = read_outline(path)
    for settings in (Settings(**looks), Settings(picture_height_mm=1000, **looks)):
        assert [each.words for each in small_words(outline, settings, capital_shares)] == []


def test_what_is_measured_is_what_is_laid_out() -> None:
    shares = capital_shares(wall(line="Show how."), (1920, 1080))
    assert shares["line"] >= LEAST_SHARE
    assert shares["title"] > shares["line"]


def test_a_very_long_line_is_measured_small() -> None:
    line = " ".join(["Look at the number line."] * 12)
    for frame in (wall(line=line), replace(wall(line=line), second_line=line), talk(line=line)):
        assert 0 < capital_shares(frame, (1024, 768))["line"] < 0.8 * LEAST_SHARE
    assert capital_shares(share(prompt="What helped?"), (1024, 768))["line"] > LEAST_SHARE


def test_the_smallest_line_of_a_problem_counts() -> None:
    frame = wall(fill="problem", problem="1/2\n" + "Which is nearer to one half, and how do you know? " * 4)
    assert capital_shares(frame, (1024, 768))["problem"] < 0.08
