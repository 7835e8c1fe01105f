"""An outline being edited: every change gives a new draft, keeps what was typed and says what won't do."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.draft.as_tables import to_outline
from pacer.plan.draft.draft import (
    Draft,
    DraftBurst,
    DraftPhase,
    bursts_from,
    bursts_text,
    duplicate,
    insert,
    minutes_text,
    move,
    remove,
    set_block,
    set_field,
    set_head,
)
from pacer.plan.draft.history import MOST_STEPS, History
from pacer.plan.outline import Outline
from tests.plan.draft.draft_factories import three


def titles(draft: Draft) -> list[str]:
    return [phase.title for phase in draft.phases]


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("budget", "soon", '"soon" is not a duration'),
        ("budget", "0", "too short"),
        ("budget", "2:75", "not a duration"),
        ("floor", "-1", "not a duration"),
        ("cap", "4 h", "too long"),
        ("cut_tier", "two", "Write a whole number, such as 2."),
        ("cut_tier", "10", "9 or less"),
        ("page", "0", "1 or more"),
        ("examples", "1.5", "whole number"),
        ("kind", "modelling", 'Did you mean "modeling"?'),
        ("wall", "big", "full, strip, off"),
        ("id", "my id", "letters, digits and hyphens"),
        ("title", "x" * 121, "too long"),
        ("title", "a\x07b", "can't be seen"),
        ("bursts", "soon | Say it", "not a duration"),
    ],
)
def test_what_will_not_do_is_kept_and_told_in_plain_words(name, text, said):
    draft, words = set_field(three(), "p2", name, text)
    assert said in words
    kept = draft.phase("p2")
    assert (bursts_text(kept.bursts) if name == "bursts" else getattr(kept, name)) == text


@pytest.mark.parametrize(
    ("name", "text", "kept"),
    [
        ("budget", " 7:30 ", "7:30"),
        ("budget", "PT7M30S", "PT7M30S"),
        ("cut_tier", "02", "2"),
        ("page", "", ""),
        ("class_line", "  two blanks stay while typing ", "  two blanks stay while typing "),
        ("notes", "one\r\ntwo\rthree", "one\ntwo\nthree"),
        ("title", "half \ud83d a sign", "half ? a sign"),
        ("movable", "table", "table"),
    ],
)
def test_what_will_do_is_kept_and_nothing_is_said(name, text, kept):
    draft, words = set_field(three(), "p2", name, text)
    assert (getattr(draft.phase("p2"), name), words) == (kept, "")


def test_the_head_and_the_block_are_fields_too():
    draft, words = set_block(three(), "minutes", "48")
    assert words == ""
    assert set_block(draft, "minutes", "2")[1] == "minutes is too short. It is at least 5:00."
    assert set_head(draft, "title", "")[1] == ""
    outline = to_outline(draft)
    assert isinstance(outline, Outline)
    assert outline.block.length_s == 48 * 60


def test_an_unknown_field_or_phase_is_refused_loudly():
    for key, name in (("p1", "colour"), ("p9", "title"), ("p1", "key")):
        with pytest.raises(KeyError):
            set_field(three(), key, name, "x")


def test_dragging_keeps_the_order_of_what_is_dragged():
    draft = Draft(phases=tuple(DraftPhase(f"p{n}", name) for n, name in enumerate("abcde", start=1)))
    assert "".join(titles(move(draft, ["p1", "p3"], "p5"))) == "bdace"
    assert "".join(titles(move(draft, ["p5", "p4"], "p1"))) == "deabc"
    assert "".join(titles(move(draft, ["p1"], None))) == "bcdea"
    assert "".join(titles(move(draft, ["p2", "p3"], "p2"))) == "abcde"
    assert "".join(titles(move(draft, ["p4", "p5"], "p4"))) == "abcde"
    assert move(draft, [], "p1") == draft


def test_a_key_is_never_given_twice_even_after_removing():
    draft = remove(three(), ["p3", "nobody"])
    draft, key = insert(draft, 99)
    assert (titles(draft), key) == (["Skip count", "Model", ""], "p4")
    draft, key = insert(draft, 0, "First")
    assert (titles(draft)[0], key) == ("First", "p5")


def test_a_copy_stands_below_and_has_no_id_of_its_own():
    draft, _words = set_field(three(), "p2", "id", "model")
    draft, keys = duplicate(draft, ["p1", "p2"])
    assert titles(draft) == ["Skip count", "Model", "Skip count", "Model", "Talk"]
    assert [draft.phase(key).id for key in keys] == ["", ""]
    assert isinstance(to_outline(draft), Outline)
    assert duplicate(draft, [])[0] == draft


@pytest.mark.parametrize(
    ("text", "bursts"),
    [
        ("0:30 | A third is ____ .", (DraftBurst("0:30", "A third is ____ ."),)),
        ("A third is ____ .", (DraftBurst("", "A third is ____ ."),)),
        ("45 s\n\n  1 | Say it  ", (DraftBurst("45 s", ""), DraftBurst("1", "Say it"))),
        ("| 3", (DraftBurst("", "3"),)),
        ("|", (DraftBurst(),)),
    ],
)
def test_bursts_are_a_line_each(text, bursts):
    assert bursts_from(text) == bursts


PIECE = st.text(st.characters(codec="utf-8", exclude_characters="\n\r"), max_size=8).map(str.strip)
LENGTH = st.one_of(st.just(""), st.sampled_from(["0:30", "1", "45 s", "soon"]))


@given(st.lists(st.builds(DraftBurst, LENGTH, PIECE), max_size=4))
def test_bursts_as_text_are_the_same_bursts(bursts):
    assert list(bursts_from(bursts_text(bursts))) == bursts


@pytest.mark.parametrize(
    ("seconds", "text"), [(180, "3"), (150, "2:30"), (45, "0:45"), (5400, "90"), (None, "")]
)
def test_a_budget_is_written_as_a_teacher_writes_it(seconds, text):
    assert minutes_text(seconds) == text


def typed(history: History, text: str, at_ms: int) -> History:
    """Type a title letter by letter, 100 ms apart."""
    for n in range(1, len(text) + 1):
        draft, _words = set_field(history.present, "p1", "title", text[:n])
        history = history.did(draft, "Typing", at_ms + 100 * n, "p1.title")
    return history


def test_typing_is_one_step_and_a_pause_begins_another():
    history = typed(History(three()), "Review", 0)
    assert len(history.past) == 1
    history = typed(history, "Review of halves", 60_000)
    assert len(history.past) == 2
    assert history.undo().present.phase("p1").title == "Review"
    assert history.undo().undo().present == three()
    assert history.undo().undo().undo().present == three()
    assert history.undo().undo().redo().redo().present == history.present


def test_typing_in_another_field_is_another_step():
    history = History(three())
    for n, name in enumerate(("title", "class_line", "title")):
        draft, _words = set_field(history.present, "p1", name, f"{name} {n}")
        history = history.did(draft, name, n * 100, f"p1.{name}")
    assert [step.label for step in history.past] == ["title", "class_line", "title"]


def test_what_was_typed_and_taken_back_is_no_step():
    start = History(three())
    assert typed(typed(start, "Sk", 0), "Skip count", 300).past == ()
    assert start.did(three(), "Nothing", 0).past == ()


def test_a_change_after_undo_forgets_what_was_undone_and_is_never_merged():
    history = typed(History(three()), "Review", 0).undo()
    assert (history.undo_label, history.redo_label) == ("", "Typing")
    history = typed(history, "Rev", 650)
    assert history.redo() == history
    assert history.undo().present == three()
    again = history.undo().redo()
    again = again.did(set_field(again.present, "p1", "title", "Other")[0], "Typing", 960, "p1.title")
    assert again.undo().present.phase("p1").title == "Rev"


def test_steps_are_bounded_and_the_oldest_go():
    history = History(three())
    for n in range(MOST_STEPS + 20):
        history = history.did(replace(history.present, title=str(n)), "Title", n)
    assert len(history.past) == MOST_STEPS
    while history.past:
        history = history.undo()
    assert history.present.title == "19"


@given(st.data())
def test_undoing_all_gives_the_first_draft_and_redoing_all_the_last(data):
    start = history = History(three())
    for now in range(data.draw(st.integers(1, 12))):
        draft = history.present
        keys = [phase.key for phase in draft.phases] or ["nobody"]
        key = data.draw(st.sampled_from(keys))
        change = data.draw(st.sampled_from(["insert", "remove", "move", "copy", "type"]))
        if change == "insert":
            draft = insert(draft, data.draw(st.integers(0, 5)))[0]
        elif change == "remove":
            draft = remove(draft, [key])
        elif change == "move":
            draft = move(draft, [key], data.draw(st.sampled_from([*keys, None])))
        elif change == "copy":
            draft = duplicate(draft, [key])[0]
        elif key != "nobody":
            draft = set_field(draft, key, "title", data.draw(PIECE))[0]
        assert len({phase.key for phase in draft.phases}) == len(draft.phases)
        history = history.did(draft, change, now * 1000, f"{key}.title" if change == "type" else "")
    end, steps = history.present, len(history.past)
    for _step in range(steps):
        history = history.undo()
    assert history.present == start.present
    for _step in range(steps):
        history = history.redo()
    assert history.present == end
