"""Whole numbers from exact ones, a half rounded up."""

from fractions import Fraction
from math import floor


def half_up(number: Fraction | float) -> int:
    """The nearest whole number, a half rounded up."""
    return floor(number + Fraction(1, 2))


def percent(share: Fraction) -> int:
    """A share from 0 to 1 in whole percent."""
    return half_up(100 * share)


def whole_s(ms: int) -> int:
    """Milliseconds in whole seconds."""
    return (ms + 500) // 1000
