"""All states told apart where nothing can be read: a small picture, blurred, grey or with other cones."""

import itertools
import warnings
from dataclasses import replace
from functools import cache
from typing import get_args

import numpy as np
import pytest
from PySide6.QtCore import Qt

from pacer.frames.desk import DeskFrame
from pacer.frames.words.wording import stage_word
from pacer.pace.stages import LEVELS, Stage
from pacer.qt.paper.picture import draw
from tests.qt.wall.wall_factories import pixels

pytestmark = pytest.mark.usefixtures("dressed")

HIGH = 190  # pixels of the whole window
SIGMA = 3.0  # of the blur, in those pixels: at 3 m some 8 minutes of arc
FAR = 0.72
# Of a cell of 12 by 12 pixels: how much lighter or darker it must be, of 255 levels of sRGB, to count.
STEP = 16
EYES = ["grey", "Protanomaly", "Deuteranomaly", "Tritanomaly"]
FRAME = DeskFrame(
    "steady", "STEADY", 0, phase_title="Modeling", number="3:48", headline="move by 9:14",
    payers=("0:45 Practice", "+ 0:15 Look back"), next_title="Vocabulary",
)  # fmt: skip


def seen(stage: Stage, number: str = "3:48") -> np.ndarray:
    """The far page in linear red, green and blue, small and blurred."""
    level = LEVELS.index(stage) if stage in LEVELS else 0
    frame = replace(FRAME, stage=stage, word=stage_word(stage), level=level, number=number)
    image = draw(frame, 1366, 768).scaledToHeight(HIGH, Qt.TransformationMode.SmoothTransformation)
    picture = pixels(image)[:, : round(image.width() * FAR)] / 255
    linear = np.where(picture <= 0.04045, picture / 12.92, ((picture + 0.055) / 1.055) ** 2.4)
    return blurred(linear)


def blurred(picture: np.ndarray) -> np.ndarray:
    at = np.arange(-9, 10)
    bell = np.exp(-(at**2) / (2 * SIGMA**2))
    bell /= bell.sum()
    for axis in (0, 1):
        padded = np.pad(picture, [(9, 9) if side == axis else (0, 0) for side in range(3)], mode="edge")
        picture = np.apply_along_axis(np.convolve, axis, padded, bell, "valid")
    return picture


@cache
def cones(eyes: str) -> np.ndarray:
    """What a kind of eyes makes of linear red, green and blue; Machado, Oliveira and Fernandes 2009."""
    if eyes == "grey":
        return np.tile([0.2126, 0.7152, 0.0722], (3, 1))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # its authors call the tritan matrix an approximation
        from colour.blindness import matrix_cvd_Machado2009

        return np.asarray(matrix_cvd_Machado2009(eyes, 1.0))


def as_seen(picture: np.ndarray, eyes: str) -> np.ndarray:
    """Cells of 12 by 12 pixels of what those eyes see, in levels of sRGB."""
    linear = np.clip(picture @ cones(eyes).T, 0, 1)
    coded = np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055) * 255
    high, wide = coded.shape[0] // 12 * 12, coded.shape[1] // 12 * 12
    return coded[:high, :wide].reshape(high // 12, 12, wide // 12, 12, 3).mean(axis=(1, 3))


def share_that_differs(one: np.ndarray, other: np.ndarray) -> float:
    return float((np.abs(one - other).max(axis=2) >= STEP).mean())


@pytest.mark.slow
@pytest.mark.parametrize("eyes", EYES)
def test_all_states_that_a_lesson_takes_differ_clearly_in_a_blurred_picture(eyes: str):
    """Each pair in more than a sixth of the page, where another number changes less than a sixteenth."""
    stages = [stage for stage in get_args(Stage) if stage not in ("ready", "ended")]
    pictures = {stage: as_seen(seen(stage), eyes) for stage in stages}
    for one, other in itertools.combinations(stages, 2):
        assert share_that_differs(pictures[one], pictures[other]) > 1 / 6, (one, other)
    other_number = as_seen(seen("steady", "9:10"), eyes)
    assert share_that_differs(pictures["steady"], other_number) < 1 / 16


def test_a_pause_is_told_by_bars_and_an_edge_that_no_other_state_has():
    """Where it is paused: dark at the edge of the page and beside the number, and light between."""
    light = {stage: as_seen(seen(stage), "grey")[:, :, 0] for stage in get_args(Stage)}
    edge = {stage: cells[4:, 0].mean() for stage, cells in light.items()}
    others = [found for stage, found in edge.items() if stage not in ("paused", "move_on")]
    assert all(edge["paused"] < found - 25 for found in others)
    middle = {stage: cells[5:, 4:].mean() for stage, cells in light.items()}
    assert middle["paused"] > middle["move_on"] + 80
    bars = {stage: cells[5:7, -4:].min() for stage, cells in light.items()}
    assert all(
        bars["paused"] < found - 60 for stage, found in bars.items() if stage not in ("paused", "move_on")
    )
