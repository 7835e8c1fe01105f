"""Small rules of the trade against worked values."""

from pacer.plan.rules import bell_offset_s, review_fit


def test_six_minutes_a_problem_under_a_cap_of_five_with_a_warm_up_of_two_fits_none():
    """Own worked value."""
    assert review_fit(300, 120, 360) == 0
    assert review_fit(300, 120, 60) == 3
    assert review_fit(300, 400, 60) == 0
    assert review_fit(300, 120, 0) == 0


def test_the_bell_s_offset_is_the_median_of_the_last_five_sound_presses():
    assert bell_offset_s([]) is None
    assert bell_offset_s([-3522]) is None
    assert bell_offset_s([500, 10, 20, 900, 30, 40, 50, 60]) == 40
