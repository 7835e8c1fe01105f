"""Invented outlines and days of any shape, for what must hold on every one of them."""

from collections.abc import Callable

from hypothesis import strategies as st

KINDS_OF_DAY = ("review", "modeling", "guided-practice", "move", "group", "share", "other")

ROW = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(KINDS_OF_DAY),
        "cut_tier": st.integers(1, 3),
        "seconds": st.integers(1, 900),
        "floor": st.integers(0, 100),
        "movable": st.sampled_from([None, "table", "tomorrow", "dropped"]),
        "talk": st.sampled_from(["teacher", "class", "quiet", "unmarked"]),
    }
)
PLAN = st.tuples(
    st.lists(ROW, min_size=1, max_size=7),
    st.integers(0, 4),  # groups
    st.one_of(st.none(), st.integers(1, 1800)),  # mini lesson in seconds, else the sum of its budgets
    st.integers(-300, 600),  # late in seconds
)
PRESS = st.sampled_from(
    [
        *(("next", "done"), ("next", "moved-on"), ("next", ""), ("next", ""), ("back", ""), ("groups", "")),
        *(("jump", "1"), ("jump", "3"), ("jump", "5"), ("undo", ""), ("undo", ""), ("pause", "")),
        *(("go-on", ""), ("add", "1:00"), ("add", "0:10"), ("take", "0:30"), ("take", "3:00")),
        *(("burst", ""), ("eyes-back", ""), ("voice", ""), ("end", "")),
    ]
)
MOMENT = st.one_of(
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("wait"), st.integers(0, 2_000)),
    st.tuples(st.just("stall"), st.integers(2_000, 500_000)),
)
DAY = st.lists(MOMENT, max_size=25)


def any_lesson(new_lesson: Callable, new_outline: Callable, plan: tuple, day: list):
    """A lesson of an invented plan and day. A stall leaves a gap, which an undo can take off."""
    rows, groups, mini_s, late_s = plan
    phases = []
    for row in rows:
        phase = {key: row[key] for key in ("kind", "cut_tier", "talk")}
        phase |= {"budget": f"{row['seconds']} s", "floor": f"{row['seconds'] * row['floor'] // 100} s"}
        phases.append(phase | ({"movable": row["movable"]} if row["movable"] else {}))
    block = {"groups": groups} | ({"mini_lesson": f"{mini_s} s"} if mini_s else {})
    lesson = new_lesson(new_outline(*phases, **block), late_s=late_s)
    for kind, value in day:
        if kind == "press":
            lesson.session.do(*value)
        else:
            lesson.clock.advance(value)
            lesson.session.tick()
    return lesson
