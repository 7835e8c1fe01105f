"""How long a review problem takes: typed, or asked of day records that may not be there."""

from pacer.editing.review_pace import ReviewPace
from pacer.log.database import LogError
from pacer.plan.rules import ProblemPace


class Unreadable:
    def __getattr__(self, _name: str) -> object:
        raise LogError("damaged")


def test_what_was_typed_counts_and_the_past_is_not_asked():
    def asked() -> None:
        raise AssertionError("the past was read")

    assert ReviewPace(asked, ("live",)).now(40) == ProblemPace(40)


def test_without_day_records_or_with_damaged_ones_nothing_is_known():
    assert ReviewPace(lambda: None, ("live",)).now(None) is None
    assert ReviewPace(Unreadable, ("live",)).now(None) is None
