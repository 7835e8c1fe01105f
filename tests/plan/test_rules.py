"""Small rules of the trade against worked values and published sizes."""

import pytest

from pacer.plan.rules import bell_offset_s, height_mm, rehearsal_ratio, review_fit


def test_six_minutes_a_problem_under_a_cap_of_five_with_a_warm_up_of_two_fits_none():
    """Own worked value."""
    assert review_fit(300, 120, 360) == 0
    assert review_fit(300, 120, 60) == 3
    assert review_fit(300, 400, 60) == 0
    assert review_fit(300, 120, 0) == 0


@pytest.mark.parametrize(
    ("arc_minutes", "metres", "millimetres"),
    [
        (20, 9, 52.4),
        (30, 9, 78.5),
        (12, 3, 10.5),
        (20, 3, 17.5),
        (40, 3, 34.9),
        (16, 10, 46.54),
        (22, 10, 64.0),
    ],
)
def test_sizes_for_an_angle_and_a_distance(arc_minutes, metres, millimetres):
    """Own worked values at 9 and 3 m; at 10 m those of the 16 and 20 to 22 arc-minute rule (ISO 9241-3)."""
    assert height_mm(arc_minutes, metres * 1000) == pytest.approx(millimetres, abs=0.06)


def test_a_snellen_letter_of_five_arc_minutes_is_8_727_mm_at_six_metres():
    """From memory, confirmed by the formula."""
    assert height_mm(5, 6000) == pytest.approx(8.727, abs=0.001)


def test_the_bell_s_offset_is_the_median_of_the_last_five_sound_presses():
    assert bell_offset_s([]) is None
    assert bell_offset_s([-3522]) is None
    assert bell_offset_s([500, 10, 20, 900, 30, 40, 50, 60]) == 40


def test_rehearsal_pays_from_three_pairs_on():
    assert rehearsal_ratio([(100, 120), (100, 110)]) is None
    assert rehearsal_ratio([(100, 120), (100, 110), (200, 300), (0, 10)]) == 1.2
