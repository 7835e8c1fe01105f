"""A baseline is a lesson in which the teacher is not helped: her written budgets stand."""

from pacer.pace.cut import cut
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session


def test_in_a_baseline_nothing_is_re_cut(invented):
    """However late review ends, the written budgets stand, as if the re-cut had been taken back."""
    found = {}
    for mode in ("live", "baseline"):
        clock = ManualClock(1_773_046_800_000)
        session = Session(clock, MemoryJournal())
        session.start(invented, mode=mode)
        for seconds in (300, 600):
            clock.advance(seconds * 1000)
            session.do("next", "done")
        found[mode] = cut(session.state)
    assert found["live"].allotted_s < 420
    assert found["baseline"].allotted_s == 420
    assert [seconds for _index, seconds in found["baseline"].later] == [180, 480, 120]
