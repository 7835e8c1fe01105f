"""The test card's rows: sizes as the back row sees them, and in words what is too small."""

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.back_row import (
    ON_CARD,
    BackRowCard,
    ada_range_mm,
    back_row_card,
    look_of,
    picture_height_mm,
    sample_frame,
)
from pacer.frames.wall import WallFrame, WallLook
from pacer.settings.model import Settings

SHARES = {"digits": 0.25, "squares": 0.09, "title": 0.08, "line": 0.06, "least": 0.05,
          "strip_digits": 0.056, "strip_title": 0.04}  # fmt: skip


def card(picture_mm=1000, back_row_mm=9000, **shares) -> BackRowCard:
    return back_row_card(SHARES | shares, WallLook(), picture_mm, back_row_mm)


def row(made: BackRowCard, part: str):
    return next(one for one in made.rows if one.part == part)


def test_a_row_gives_share_millimetres_arc_minutes_and_a_verdict_in_words():
    """Own worked value: 60 mm at 9 m are 22.9 arc-minutes."""
    line = row(card(), "line")
    assert line.heading == "Line for the class"
    assert line.share_words == "6.0 %"
    assert line.height_words == "60 mm"
    assert line.seen == pytest.approx(22.918, abs=0.001)
    assert line.seen_words == "22′"
    assert line.verdict == "good"
    assert line.note == "60 mm, 22′: good"


def test_digits_and_squares_are_held_to_30_arc_minutes_and_words_to_20():
    """Own worked values: 56 mm at 9 m are 21.4 arc-minutes, 40 mm are 15.3, 50 mm are 19.1."""
    made = card()
    assert {one.part: one.verdict for one in made.rows} == {
        "digits": "good",
        "squares": "good",
        "title": "good",
        "line": "good",
        "least": "readable",
        "strip_digits": "readable",
        "strip_title": "too small",
    }
    assert row(card(title=0.056), "title").verdict == "good"


def test_an_angle_just_under_a_border_is_never_shown_as_the_border():
    made = row(card(least=0.0523), "least")
    assert 19.9 < made.seen < 20
    assert (made.seen_words, made.verdict) == ("19′", "readable")


def test_the_card_names_what_is_too_small_and_the_teacher_is_told_of_the_strip_as_well():
    made = card(least=0.03, line=0.04)
    assert made.foot == "Too small for the back row: line for the class, smallest words."
    assert (
        made.verdict == "Too small for the back row: line for the class, smallest words, title in the strip."
    )


def test_what_is_readable_but_not_good_is_named_where_nothing_is_too_small():
    made = card(strip_title=0.05)
    assert made.foot == "Readable, but smaller than is good for the back row: smallest words."
    assert made.verdict.endswith("back row: smallest words, digits in the strip, title in the strip.")


def test_where_everything_is_good_the_card_says_so():
    made = card(picture_mm=2000)
    assert made.foot == made.verdict == "The back row can read all of it well."


def test_a_picture_that_nine_percent_does_not_help_says_what_would():
    """Own worked value: 52.4 mm at 9 m are 13.1 % of a picture 40 cm high."""
    settings = Settings(picture_height_mm=400)
    made = back_row_card(SHARES, look_of(settings), 400, 9000)
    assert "Words would have to be 13.1 % of the picture, and the Wall goes to 9 %" in made.verdict
    assert "larger or the seats nearer" in made.verdict
    assert "13.1" not in made.foot


def test_without_the_picture_s_height_there_are_shares_and_no_verdict():
    made = card(picture_mm=None)
    assert made.head == "Measure the picture's height and type it"
    assert [one.note for one in made.rows][:2] == ["25.0 %", "9.0 %"]
    assert {
        (one.height_mm, one.seen, one.verdict, one.height_words, one.seen_words) for one in made.rows
    } == {(None, None, None, "", "")}
    assert made.foot == "What the back row can read is not known yet."


def test_the_head_says_what_the_sizes_are_worked_out_for():
    assert card(950, 8500).head == "8.5 m from a picture 95 cm high"


def test_two_other_rules_are_given_as_a_second_opinion():
    """Distance over 200: FAA, seen in a copy. 2010 ADA Standards, table 703.5.5, seen in a copy: at 9 m,

    354.33 in, 5/8 + 282.33/96 = 3.566 in and 2 + 174.33/96 = 3.816 in by own arithmetic.
    """
    low, high = ada_range_mm(9000)
    assert low == pytest.approx(3.5659 * 25.4, abs=0.01)
    assert high == pytest.approx(3.8159 * 25.4, abs=0.01)
    words = card().other_rules
    assert "at 9.0 m: distance over 200 asks for 45 mm" in words
    assert "for 91 to 97 mm" in words


# The look.


def test_the_look_takes_digits_squares_edge_and_sizes_from_the_settings():
    settings = Settings(wall_digits=False, strip_edge="left", picture_height_mm=800)
    look = look_of(settings)
    assert (look.digits, look.squares, look.edge) == (False, True, "left")
    assert look.least_share == pytest.approx(0.06545, abs=1e-5)  # own worked value: 52.36 mm of 800


def test_what_the_teacher_measured_comes_before_what_the_screen_reports():
    assert picture_height_mm(Settings(), None) is None
    assert picture_height_mm(Settings(), 800) == 800
    assert picture_height_mm(Settings(picture_height_mm=1000), 800) == 1000
    assert look_of(Settings()).least_share == 0.05
    assert look_of(Settings(), 800).least_share == look_of(Settings(picture_height_mm=800)).least_share
    assert look_of(Settings(picture_height_mm=1000), 800) == look_of(Settings(picture_height_mm=1000))


@given(picture=st.none() | st.integers(150, 6000), back_row=st.integers(1000, 40_000))
def test_every_setting_that_can_be_typed_gives_a_look_and_a_card(picture, back_row):
    settings = Settings(picture_height_mm=picture, back_row_mm=back_row)
    look = look_of(settings)
    made = back_row_card(SHARES, look, picture, back_row)
    assert 0.05 <= look.least_share <= 0.09
    assert len(made.rows) == len(SHARES)
    assert all((made.head, made.foot, made.verdict, made.other_rules))


# The sample.


def test_the_sample_is_an_invented_wall_in_the_look_of_the_settings():
    look = look_of(Settings(wall_squares=False, picture_height_mm=800, strip_edge="top"))
    frame = sample_frame(look)
    assert (frame.digits, frame.whole, frame.edge) == ("17:45", 0, "top")
    assert frame.least_share == look.least_share
    assert sample_frame(WallLook(digits=False)).digits is None
    assert sample_frame(look, strip=True).shape == "strip"


def test_the_card_holds_a_wall_frame_and_sizes_and_nothing_that_could_be_private():
    made = card()
    assert [field.name for field in fields(made)] == ["frame", "rows", "picture_height_mm", "back_row_mm"]
    assert type(made.frame) is WallFrame
    assert {field.name for field in fields(made.rows[0])} == {
        "part", "share", "height_mm", "seen", "verdict"
    }  # fmt: skip
    assert set(ON_CARD) < set(SHARES)
