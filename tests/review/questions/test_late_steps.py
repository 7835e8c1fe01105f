"""The steps from the planned start of groups to the real one: against the raw events, and adding up."""

import re
from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.pictures.chart import Chart
from pacer.frames.pictures.late_steps import chart, sentence
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.late_steps import late_steps, running_sums
from tests.review import by_hand
from tests.terms import TERM_DAYS

DEMO = LessonChoice(modes=("demo",))
TIME = re.compile(r"[+−]?\d+:\d\d")


@pytest.fixture(scope="module")
def parts(term_folder: Path) -> pd.DataFrame:
    """Milliseconds of lateness by run and cause, worked out from the raw events with pandas."""
    runs, phases = by_hand.runs(term_folder), by_hand.phases(term_folder)
    mini = phases[phases["mini"]]
    assert mini[~mini["kind"].isin(["move", "group", "share"])].shape == mini.shape
    seen = by_hand.visits(term_folder).merge(runs[["run", "mini"]], on="run")
    seen = seen[seen["phase"] < seen["mini"]]
    legs = by_hand.legs(term_folder)
    first_visit = legs[legs["leg"] == "visit"].groupby("run")["begin_ms"].first()
    walked = legs[legs["leg"] == "move"].groupby("run")["spent_ms"].sum()
    begin = seen.groupby("run")["end_ms"].max()
    begin.update(first_visit)
    spent = seen.groupby("run")["spent_ms"].sum()
    planned = mini.groupby("run")["planned_s"].sum()
    found = mini.assign(ms=mini["spent_ms"].fillna(0) - 1000 * mini["planned_s"])[["run", "kind", "ms"]]
    found = found.groupby(["run", "kind"])["ms"].sum().unstack(fill_value=0)
    rows = runs.set_index("run")
    found[":start"] = rows["late_s"] * 1000
    found[":plan"] = 1000 * (planned - rows["mini_lesson_s"])
    walked = walked.reindex(begin.index, fill_value=0)
    move_s = rows["outline"].map(lambda outline: outline["block"]["move_s"])
    found[":pauses"] = begin - spent - walked
    found[":moves"] = (walked - 1000 * move_s).where(begin.index.isin(first_visit.index), 0)
    return found


def test_the_steps_of_the_term_are_those_of_the_raw_events(term: tuple[Day, ...], parts: pd.DataFrame):
    """Each lesson's parts are rounded so that they add up: a mean differs from the raw one by under 1 s."""
    found = late_steps(DEMO.days(term))
    known = [day.run for day in term if day.group_late_s is not None]
    raw = parts.loc[known] / 1000
    assert (found.lessons, found.never, found.by_kind) == (len(known), TERM_DAYS - len(known), True)
    for step in found.steps:
        assert float(step.seconds) == pytest.approx(raw[step.cause].mean(), abs=1)
    assert {step.cause for step in found.steps} == {name for name in raw if raw[name].abs().sum() >= 1}
    whole = raw.sum(axis=1)
    assert float(found.whole) == pytest.approx(whole.round().mean(), abs=1e-9)


def test_each_lesson_of_the_term_is_told_in_a_sentence_whose_parts_add_up(term, parts):
    for day in term:
        words = sentence(day)
        if day.group_late_s is None:
            assert words == "The lesson ended before groups started."
            continue
        whole = parts.loc[day.run].sum() / 1000
        assert abs(day.group_late_s - whole) <= 0.5
        begun, _colon, named = words.rstrip(".").partition(": ")
        late = begun.split()[2]
        sign = -1 if begun.endswith("early") else 1
        assert sign * seconds(late) == day.group_late_s
        assert sum(map(seconds, TIME.findall(named))) == day.group_late_s


def seconds(words: str) -> int:
    sign = -1 if words[0] == "−" else 1
    minutes, rest = words.lstrip("−+").split(":")
    return sign * (int(minutes) * 60 + int(rest))


def test_every_number_on_the_picture_is_the_raw_one(term, parts):
    picture = chart(term, DEMO)
    known = [day.run for day in term if day.group_late_s is not None]
    raw = parts.loc[known].mean() / 1000
    assert picture.lessons == len(known)
    names = [text for _at, text in picture.y.ticks]
    causes = {"late start": ":start", "pauses": ":pauses", "partner talk": "partner-talk",
              "guided practice": "guided-practice", "look back": "look-back",
              "transition": ":moves"}  # fmt: skip
    at = 0.0
    for row, name in enumerate(names[:-1]):
        box = picture.boxes[row]
        expected = raw[causes.get(name, name)]
        signed = (box.x1 - box.x0) * 60 * (1 if box.pattern == "hatched" else -1)
        assert signed == pytest.approx(expected, abs=2)
        begin = box.x0 if signed > 0 else box.x1
        assert begin == pytest.approx(at)
        at = box.x1 if signed > 0 else box.x0
        heading, shown, exact = picture.table.rows[row]
        assert heading == name
        assert seconds(shown) == pytest.approx(signed, abs=1e-6)
        assert float(exact) == pytest.approx(expected, abs=1.1)
    total = picture.boxes[-1]
    assert (total.x0, total.x1) == (0, pytest.approx(at))
    assert seconds(picture.table.rows[-1][1]) == pytest.approx(at * 60)
    assert picture.summary.startswith(
        f"Groups started {picture.table.rows[-1][1].lstrip('+')} late on average"
    )
    assert picture.x.lower <= 0 <= picture.x.upper


def test_the_worked_example(new_lesson, day_of_lesson):
    """4:00 late: review 2:05, late start 1:20, move 0:35: our own arithmetic."""
    day = day_of_lesson()
    made = day._replace(
        group_late_s=240, causes=((":start", 80), ("review", 125), (":moves", 35)),
        phases=tuple(p._replace(title="Review") if p.id == "review" else p for p in day.phases),
    )  # fmt: skip
    assert sentence(made) == "Groups started 4:00 late: Review 2:05, late start 1:20, transition 0:35."
    assert sentence(made._replace(group_late_s=0, causes=())) == "Groups started on time."
    early = made._replace(group_late_s=-70, causes=((":start", -100), ("review", 30)))
    assert sentence(early) == "Groups started 1:10 early: late start −1:40, Review +0:30."
    assert sentence(made._replace(group_late_s=None, causes=())) == "The lesson ended before groups started."


def test_what_made_groups_late_is_named_before_what_gained_time(a_day):
    """A worked value of our own: two gains are larger than two of the delays, and explain no lateness."""
    causes = ((":start", 107), ("review", 61), ("look-back", -78), ("practice", -68), ("modeling", 158))
    late = a_day._replace(group_late_s=180, causes=causes, phases=())
    assert (
        sentence(late)
        == "Groups started 3:00 late: modeling +2:38, late start +1:47, review +1:01, others −2:26."
    )


@pytest.fixture
def day_of_lesson(new_lesson):
    from pacer.review.day_book import work_out

    def made() -> Day:
        lesson = new_lesson().wait(100).do("next", "done").wait(30).do("end", "interrupted")
        return work_out(1, lesson.session.events, [])

    return made


@pytest.fixture(scope="module")
def a_day(term) -> Day:
    return term[0]


seconds_by_cause = st.dictionaries(
    st.sampled_from([":start", "quick-write", "review", "model", ":plan", ":pauses", ":moves"]),
    st.integers(-4000, 4000),
    max_size=7,
)


@given(lessons=st.lists(st.none() | seconds_by_cause, max_size=12))
def test_steps_shares_and_sentences_add_up_exactly_on_random_histories(a_day, lessons):
    days = []
    for causes in lessons:
        base = a_day._replace(group_late_s=None, causes=())
        if causes is not None:
            listed = tuple((name, s) for name, s in causes.items() if s)
            base = base._replace(group_late_s=sum(causes.values()), causes=listed)
        days.append(base)
    found = late_steps(days)
    known = [day.group_late_s for day in days if day.group_late_s is not None]
    assert found.lessons + found.never == len(days)
    assert found.whole * max(1, len(known)) == sum(known)
    assert sum(step.seconds for step in found.steps) == found.whole
    assert abs(sum(found.shown) - found.whole) <= Fraction(1, 2)
    spans = running_sums(found.shown)
    assert [b for _a, b in spans[:-1]] == [a for a, _b in spans[1:]]
    picture: Chart = chart(days, DEMO)
    assert picture.is_empty == (not known)
    for day in days:
        if day.group_late_s:
            named = sentence(day).rstrip(".").partition(": ")[2]
            if named:
                assert sum(map(seconds, TIME.findall(named))) == day.group_late_s


def test_without_lessons_and_with_one_it_says_what_there_is(term):
    nothing = chart([], DEMO)
    assert nothing.is_empty
    assert nothing.lessons == 0
    assert "first lesson in which groups start" in nothing.summary
    day = next(day for day in term if day.group_late_s)
    one = chart([day], DEMO)
    assert one.lessons == 1
    assert "on average" not in one.summary
    titles = {phase.id: phase.title for phase in day.phases}
    titles |= {":start": "late start", ":pauses": "pauses", ":plan": "budgets that do not fit"}
    titles |= {":moves": "transition"}
    assert [row[0] for row in one.table.rows[:-1]] == [
        titles[cause] for cause, _s in sorted(day.causes, key=lambda each: _place(day, each[0]))
    ]
    never = chart([term[0]._replace(group_late_s=None, causes=())], DEMO)
    assert never.summary == "In 1 lesson groups never started, so there is nothing to explain."


def _place(day: Day, cause: str) -> int:
    order = [":start", *(phase.id for phase in day.mini), ":plan", ":pauses", ":moves"]
    return order.index(cause)
