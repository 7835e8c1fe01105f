"""Durations as people write them."""

import isodate
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.durations import format_duration, parse_duration


@pytest.mark.parametrize(
    ("written", "seconds"),
    [
        ("3", 180),
        (3, 180),
        (0, 0),
        ("0", 0),
        (2.5, 150),
        ("2.5", 150),
        ("2,5", 150),
        ("0.25", 15),
        (" 3 ", 180),
        ("2:30", 150),
        ("0:05", 5),
        ("100:00", 6000),
        ("1:05:00", 3900),
        ("0:00:30", 30),
        ("0090:00", 5400),
        ("90 s", 90),
        ("90s", 90),
        ("90 sec", 90),
        ("1 second", 1),
        ("90 Seconds", 90),
        ("2 min", 120),
        ("2m", 120),
        ("1.5 minutes", 90),
        ("3 min.", 180),
        ("1 h", 3600),
        ("1.5 hours", 5400),
    ],
)
def test_every_form_a_teacher_may_write_is_read_to_the_second(written: object, seconds: int) -> None:
    assert parse_duration(written) == seconds


# RFC 5545 3.3.6 (P15DT5H0M20S, P7W), RFC 2445 4.8.2.5 (PT1H0M0S, PT15M); the rest follow the same grammar.
PUBLISHED = [
    ("P15DT5H0M20S", 15 * 86400 + 5 * 3600 + 20),
    ("P7W", 7 * 7 * 86400),
    ("PT1H0M0S", 3600),
    ("PT15M", 900),
    ("PT90S", 90),
    ("PT36H", 129600),
    ("P1DT12H", 129600),
    ("PT1M30S", 90),
    ("P0D", 0),
    ("PT0S", 0),
    ("P3D", 259200),
    ("PT2M30S", 150),
    # ISO 8601 beyond the RFC: a decimal fraction with point or comma, hours beside seconds.
    ("P1.5D", 129600),
    ("PT1.5H", 5400),
    ("PT2,5M", 150),
    ("P15DT5H20S", 15 * 86400 + 5 * 3600 + 20),
]


@pytest.mark.parametrize(("written", "seconds"), PUBLISHED)
def test_published_iso_durations_agree_with_the_standard_and_with_isodate(written: str, seconds: int) -> None:
    assert parse_duration(written) == seconds
    assert isodate.parse_duration(written).total_seconds() == seconds


@given(st.lists(st.one_of(st.none(), st.integers(0, 99)), min_size=4, max_size=4))
def test_any_iso_duration_in_days_hours_minutes_seconds_agrees_with_isodate(parts: list[int | None]) -> None:
    days, hours, minutes, seconds = parts
    time = "".join(
        f"{n}{unit}" for n, unit in ((hours, "H"), (minutes, "M"), (seconds, "S")) if n is not None
    )
    written = "P" + (f"{days}D" if days is not None else "") + (f"T{time}" if time else "")
    if written == "P":
        with pytest.raises(ValueError, match=r"not a duration"):
            parse_duration(written)
    else:
        assert parse_duration(written) == isodate.parse_duration(written).total_seconds()


@pytest.mark.parametrize(
    "written",
    [
        "PT1H30",
        "T15M",
        "P1H",
        "P-15M",
        "P",
        "PT5M5M",
        "PT1S1M",
        "PT-5M",
        "PT 5M",
        "P1W2D",  # outside ISO 8601
        "PT",  # outside the grammar, though isodate reads it as zero
        "P1Y",
        "P1M",
        "P1Y2M3DT10H30M",
        "P0003-06-04T12:30:05",  # no fixed length
        "-PT15M",
        "+PT5M",
        "-3",
        "-2:30",
        -3,  # a budget has no sign
        "PT0.5S",
        "0.001",
        0.001,
        "0.5 s",
        "1.333",  # not whole seconds
        "2:60",
        "1:60:00",
        "2:5",
        ":30",
        "2:30:",
        "1 2",
        "2 fortnights",
        "three",
        "",
        " ",
        "1e3",
        "P999999999999D",
        float("nan"),
        float("inf"),
        True,
        None,
        [],
        {},
        "9" * 5000,
    ],
)
def test_what_is_no_duration_is_refused(written: object) -> None:
    with pytest.raises(ValueError, match=r"."):
        parse_duration(written)


def test_a_capital_or_small_letter_makes_no_difference_and_a_bare_number_with_m_means_minutes() -> None:
    """More lenient than ISO 8601, on purpose: both are what a teacher would mean."""
    assert parse_duration("pt15m") == parse_duration("15M") == 900


@given(st.integers(0, 999_999))
def test_what_is_written_back_is_read_as_the_same_time(seconds: int) -> None:
    if seconds < 9999 * 60:
        assert parse_duration(format_duration(seconds)) == seconds
    assert format_duration(-seconds) == ("-" if seconds else "") + format_duration(seconds)


@pytest.mark.parametrize(("seconds", "words"), [(0, "0:00"), (5, "0:05"), (-70, "-1:10"), (5400, "90:00")])
def test_times_are_shown_as_minutes_and_seconds(seconds: int, words: str) -> None:
    assert format_duration(seconds) == words


@given(
    st.one_of(
        st.text(), st.floats(), st.integers(), st.binary(), st.from_regex(r"[pP]?[\dTHMSDW:.,\s]{0,20}")
    )
)
def test_any_value_gives_whole_seconds_or_a_refusal(value: object) -> None:
    try:
        seconds = parse_duration(value)
    except ValueError:
        return
    assert type(seconds) is int
    assert seconds >= 0
