"""Sizes for a distance: what a child in the back row can read, and which screen sizes can be believed."""

import math
from fractions import Fraction
from typing import Literal

ARC_MINUTES_IN_RADIAN = 60 * 180 / math.pi

# Capitals under 16 arc-minutes are too small and 20 to 22 are preferred: ISO 9241-3 as an ergonomics page
# quotes it; ISO 9241-303 has the same figures, from memory. 30 for the main marks is a choice of ours.
LEAST_ARC_MINUTES = 16.0
WORDS_ARC_MINUTES = 20.0
MARKS_ARC_MINUTES = 30.0

# The least height of a capital over the picture's: where the picture's height is unknown, and at the most.
USUAL_SHARE = 0.05
MOST_SHARE = 0.09

DISTANCE_SHARE = 200  # the other rule of thumb: a two-hundredth of the distance

MM_IN_INCH = Fraction(254, 10)
FOOT_IN = 12
ADA_LOWEST_IN = 40
# Highest baseline above the floor, distance up to which the first height holds, that height: all in inches.
ADA_ROWS: tuple[tuple[float, int, Fraction], ...] = (
    (70, 72, Fraction(5, 8)),
    (120, 180, Fraction(2)),
    (math.inf, 252, Fraction(3)),
)
ADA_PER_FOOT_IN = Fraction(1, 8)

LEAST_SIDE_MM, MOST_SIDE_MM = 100, 6000
MOST_SKEW = 0.10
# Makers who know no size write the proportion in its place.
PLACEHOLDERS = frozenset({(16, 9), (16, 10), (160, 90), (160, 100), (1600, 900), (1600, 1000)})
# Systems that know no size work one out from so many dots per inch; it says nothing of a projector's picture.
STAND_IN_DPI = (96, 100)
ROUNDING_MM = 1.0
SLACK = 1e-9  # arc-minutes that were turned into millimetres and back

Role = Literal["words", "mark"]
Verdict = Literal["too small", "readable", "good"]


def height_mm(arc_minutes: float, distance_mm: float) -> float:
    """The height that is seen under an angle from a distance, in millimetres: 2 d tan(angle / 2)."""
    return 2 * distance_mm * math.tan(arc_minutes / ARC_MINUTES_IN_RADIAN / 2)


def arc_minutes(seen_mm: float, distance_mm: float) -> float:
    """The angle under which a height in millimetres is seen from a distance, in arc-minutes.

    Raises ValueError where the distance is not above zero.
    """
    if distance_mm <= 0:
        raise ValueError(f"a distance must be above zero, not {distance_mm}")
    return 2 * math.atan(seen_mm / 2 / distance_mm) * ARC_MINUTES_IN_RADIAN


def distance_mm(seen_mm: float, arc_minutes: float) -> float:
    """From how far a height in millimetres is seen under an angle: the other way round."""
    return seen_mm / 2 / math.tan(arc_minutes / ARC_MINUTES_IN_RADIAN / 2)


def judge(seen_arc_minutes: float, role: Role) -> Verdict:
    """Whether words, or a main mark such as a digit or a minute square, can be read at such an angle."""
    if seen_arc_minutes < LEAST_ARC_MINUTES - SLACK:
        return "too small"
    wanted = WORDS_ARC_MINUTES if role == "words" else MARKS_ARC_MINUTES
    return "readable" if seen_arc_minutes < wanted - SLACK else "good"


def needed_share(picture_height_mm: float, back_row_mm: float) -> float:
    """The height of capitals over the picture's from which the back row reads them well; may be over 1.

    Raises ValueError where the picture has no height.
    """
    if picture_height_mm <= 0:
        raise ValueError(f"a picture's height must be above zero, not {picture_height_mm}")
    return height_mm(WORDS_ARC_MINUTES, back_row_mm) / picture_height_mm


def least_share(picture_height_mm: float | None, back_row_mm: float) -> float:
    """The least height of capitals that the Wall sets, over the picture's; ``None``: it is not known.

    Never under 5 %, and never over 9 %, for larger words leave no room: ``is_enough`` says what that costs.
    """
    if picture_height_mm is None:
        return USUAL_SHARE
    return min(MOST_SHARE, max(USUAL_SHARE, needed_share(picture_height_mm, back_row_mm)))


def is_enough(picture_height_mm: float, back_row_mm: float) -> bool:
    """Whether the least words of the Wall are as large as the back row needs them."""
    return needed_share(picture_height_mm, back_row_mm) <= MOST_SHARE + SLACK


def distance_share_mm(distance_mm: float) -> float:
    """The height of characters by the rule of distance over 200, in millimetres."""
    return distance_mm / DISTANCE_SHARE


def ada_height_in(baseline_in: Fraction, distance_in: Fraction) -> Fraction | None:
    """The least height of characters on signs by table 703.5.5 of the 2010 ADA Standards, in exact inches.

    ``baseline_in``: how high the line of writing is above the floor; ``distance_in``: how far away the
    reader is. None under 40 inches, where the table does not begin. Part of a foot counts as its part.
    """
    if baseline_in < ADA_LOWEST_IN:
        return None
    first_in, least = next((near, least) for highest, near, least in ADA_ROWS if baseline_in <= highest)
    return least + max(Fraction(0), distance_in - first_in) / FOOT_IN * ADA_PER_FOOT_IN


def credible_height_mm(
    width_mm: int, height_mm: int, width_px: int, height_px: int, least_mm: int = LEAST_SIDE_MM
) -> int | None:
    """A picture's height as the system reports it, if it can be believed; else None.

    Millimetres and pixels as reported; a side under ``least_mm`` is not believed. Projectors often report no
    size, that of a postcard, their proportion in its place, or another screen's; pixels are taken to be
    square.
    """
    sides = (width_mm, height_mm)
    if min(sides) < least_mm or max(sides) > MOST_SIDE_MM or min(width_px, height_px) <= 0:
        return None
    if sides in PLACEHOLDERS or any(_is_stand_in(sides, (width_px, height_px), dpi) for dpi in STAND_IN_DPI):
        return None
    skew = Fraction(width_mm * height_px, height_mm * width_px)
    return height_mm if 1 - MOST_SKEW <= skew <= 1 + MOST_SKEW else None


def _is_stand_in(sides: tuple[int, int], pixels: tuple[int, int], dpi: int) -> bool:
    return all(
        abs(side - count * float(MM_IN_INCH) / dpi) <= ROUNDING_MM
        for side, count in zip(sides, pixels, strict=True)
    )
