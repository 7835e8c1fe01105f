"""The fit bar, the words under it and the check say the same: whatever is shown is parsed and compared."""

import re
from collections.abc import Callable

from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.words.fit import FitFrame, fit_frame
from pacer.plan.durations import parse_duration
from pacer.plan.findings import findings
from pacer.plan.fit import fit_of
from pacer.plan.outline import Outline

SECONDS = st.integers(0, 1200)
PLANS = st.fixed_dictionaries(
    {
        "budgets": st.lists(st.integers(1, 3600), min_size=1, max_size=4),
        "minutes": st.integers(300, 2 * 3600),
        "mini_lesson": st.none() | st.integers(1, 3600),
        "groups": st.integers(0, 6),
        "move": SECONDS,
        "swap": SECONDS,
        "clean_up": SECONDS,
        "share": SECONDS,
    }
)


def outline_of(new_outline: Callable, plan: dict) -> Outline:
    block = {name: f"{plan[name]} s" for name in ("minutes", "move", "swap", "clean_up", "share")}
    if plan["mini_lesson"] is not None:
        block["mini_lesson"] = f"{plan['mini_lesson']} s"
    rows = [{"budget": f"{seconds} s"} for seconds in plan["budgets"]]
    return new_outline(*rows, groups=plan["groups"], **block)


def bar_of(shown: FitFrame) -> dict[str, int]:
    """What the words on the bar's pieces say, in seconds by their first word."""
    said = (piece.words.replace(", cut to", "").split(" ") for piece in shown.pieces)
    return {name: parse_duration(time) for name, time in said}


def sum_of(shown: FitFrame) -> dict[str, int]:
    """What the sum under the bar says: each part's seconds, its count taken in, and both totals."""
    line = next(line for line in shown.details if line.startswith("mini lesson "))
    parts, equals, totals = line.partition(" = ")
    assert equals
    found = {}
    for part in parts.split(" + "):
        many = re.fullmatch(
            r"(?:(\d+) )?(mini lesson|transition|visit|swap|share|clean-up)s?(?: of)? (\S+)", part
        )
        assert many, part
        found[many[2]] = int(many[1] or 1) * parse_duration(many[3])
    total, of, block = totals.partition(" of ")
    assert of
    return found | {"total": parse_duration(total), "block": parse_duration(block)}


@given(PLANS)
def test_the_bar_says_what_the_sum_under_it_says(new_outline: Callable, plan: dict) -> None:
    outline = outline_of(new_outline, plan)
    shown = fit_frame(outline, fit_of(outline))
    if not outline.has_second_half:
        return
    bar, line = bar_of(shown), sum_of(shown)
    assert sum(seconds for name, seconds in line.items() if name not in ("total", "block")) == line["total"]
    assert line["block"] == shown.block_s
    pairs = {
        "mini lesson": bar.get("phases", 0) + bar.get("spare", 0),
        "visit": bar.get("groups", 0),
        "share": bar.get("share", 0),
        "clean-up": bar.get("clean-up", 0),
    }
    fits = line["total"] <= line["block"]
    for name, on_bar in pairs.items():
        # What comes after the bell has no piece; what has one says its whole time.
        assert on_bar == line[name] or (not fits and on_bar < line[name]), name
    walks = line["transition"] + line.get("swap", 0)
    assert bar.get("transitions", 0) == walks or (not fits and "transitions" not in bar)
    if fits:
        assert sum(piece.seconds for piece in shown.pieces) == line["total"] == line["block"]


@given(PLANS)
def test_what_the_groups_get_is_said_once_and_alike(new_outline: Callable, plan: dict) -> None:
    """The ratio in words is the bar's groups over its phases; whoever "fits" says who pays in that line."""
    outline = outline_of(new_outline, plan)
    shown, rules = fit_frame(outline, fit_of(outline)), {one.rule for one in findings(outline)}
    bar = bar_of(shown)
    mini_s = outline.mini_lesson_s
    told = [line for line in shown.details if line.startswith("Groups get ")]
    assert bool(told) is (outline.block.groups > 0)
    for line in told:
        ratio = float(line.split(" ")[2])
        # Two places are shown.
        assert abs(bar.get("groups", 0) / mini_s - ratio) <= 0.005 + 1e-9
    if shown.verdict.startswith("Fits"):
        assert ("from the groups" in shown.verdict) is ("groups_pay" in rules)
        assert not any(notice.startswith("Groups pay") for notice in shown.notices)
    spare = re.search(r"with (\S+) to spare", shown.verdict)
    if spare:
        assert parse_duration(spare[1]) == bar["spare"]
