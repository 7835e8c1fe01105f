"""What was worked out once is kept: by the identity of a frozen value, or as a part of it."""

from dataclasses import dataclass

from pacer.remember import identity_cache, kept_property


@dataclass(frozen=True)
class Number:
    value: int

    @kept_property
    def parts(self) -> list[int]:
        """A new list each time that it is worked out."""
        return [self.value]


def test_a_part_is_worked_out_once_and_is_each_value_s_own():
    three, other = Number(3), Number(3)
    assert three.parts is three.parts
    assert three.parts is not other.parts
    assert three == other
    assert Number.parts.__doc__ == "A new list each time that it is worked out."


def test_a_function_is_asked_once_a_value_and_anew_for_one_that_is_only_equal():
    @identity_cache
    def doubled(number: Number, more: int) -> list[int]:
        return [2 * number.value + more]

    three = Number(3)
    assert doubled(three, 1) is doubled(three, 1)
    assert doubled(three, 1) is not doubled(Number(3), 1)
    assert doubled(three, 1) != doubled(three, 2)
