"""Text pane and draft kept together: typing changes only what it says, the table only its own lines."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.draft.draft import (
    Draft,
    DraftGroup,
    DraftPhase,
    duplicate,
    insert,
    move,
    remove,
    set_block,
    set_field,
)
from pacer.plan.draft.listed_lines import listed_text, set_listed
from pacer.plan.draft.rewrite_text import retold, with_text
from pacer.plan.draft.with_text import (
    TypedDraft,
    plain_outline,
    read,
    rekeyed,
    typed,
    unread_in,
    with_loose,
    without_loose,
)
from pacer.plan.draft.write_toml import draft_of, written

THREE = "Warm-up 2\nReview 3\nModeling 7\n"


def begun(text: str = THREE) -> TypedDraft:
    return typed(TypedDraft(), text)


def titles(draft: Draft) -> list[str]:
    return [phase.title for phase in draft.phases]


def edited(sheet: TypedDraft, key: str, name: str, text: str) -> TypedDraft:
    changed, _said = set_field(sheet, key, name, text)
    assert isinstance(changed, TypedDraft)
    return retold(sheet, changed)


def detailed() -> TypedDraft:
    """Three phases with a floor and notes on the second."""
    sheet = begun()
    return edited(edited(sheet, sheet.keys[1], "floor", "1:30"), sheet.keys[1], "notes", "Boards up.")


def test_each_line_that_is_typed_becomes_a_phase_with_its_kind() -> None:
    sheet = begun()
    assert [(p.title, p.budget, p.kind) for p in sheet.phases] == [
        ("Warm-up", "2", "warm-up"),
        ("Review", "3", "review"),
        ("Modeling", "7", "modeling"),
    ]


def test_a_changed_budget_leaves_floor_and_notes_as_they_are() -> None:
    sheet = typed(detailed(), THREE.replace("Review 3", "Review 4"))
    review = sheet.phases[1]
    assert (review.budget, review.floor, review.notes) == ("4", "1:30", "Boards up.")


def test_a_line_that_is_cut_and_put_in_elsewhere_is_the_same_phase_still() -> None:
    sheet = detailed()
    key = sheet.keys[1]
    cut = typed(sheet, "Warm-up 2\nModeling 7\n")
    assert titles(cut) == ["Warm-up", "Modeling"]
    back = typed(cut, "Warm-up 2\nModeling 7\nReview 3\n")
    assert (back.phases[2].key, back.phases[2].floor, back.phases[2].notes) == (key, "1:30", "Boards up.")


def test_a_title_that_is_taken_out_and_typed_anew_in_its_place_keeps_the_rest() -> None:
    sheet = detailed()
    for line in ("Revi 3", "R 3", " 3", "L 3", "Look again 3"):
        sheet = typed(sheet, f"Warm-up 2\n{line}\nModeling 7\n")
    assert (sheet.phases[1].title, sheet.phases[1].floor) == ("Look again", "1:30")


def test_another_outline_put_in_its_place_takes_no_notes_over() -> None:
    sheet = typed(detailed(), "Count on 6\nSort the cards 9\nTell a partner 1\n")
    assert [phase.notes for phase in sheet.phases] == ["", "", ""]


def test_a_line_in_front_moves_no_details_to_another_phase() -> None:
    sheet = typed(detailed(), "Song 1\n" + THREE)
    assert [phase.floor for phase in sheet.phases] == ["", "", "1:30", ""]


def test_the_table_changes_only_the_line_of_its_phase() -> None:
    sheet = begun("* Warm-up   2 min\n\n2)  Review - 3 minutes\n??!\n3)  Modeling (7)\n")
    lines = sheet.text.split("\n")
    after = edited(sheet, sheet.keys[1], "budget", "4")
    assert after.text.split("\n") == [*lines[:2], "Review 4", *lines[3:]]
    assert after.phases[1].notes == "??!", "a line below a phase is its note"


def test_a_field_that_the_text_does_not_say_changes_no_line() -> None:
    sheet = begun()
    assert edited(sheet, sheet.keys[0], "floor", "1").text == THREE


def test_a_kind_that_the_title_does_not_tell_stands_in_brackets_and_can_be_taken_out_again() -> None:
    sheet = edited(begun("Fractions 3\n"), "p1", "kind", "review")
    assert sheet.text == "Fractions 3 [review]\n"
    assert typed(sheet, "Fractions 3\n").phases[0].kind == ""


def test_a_row_without_a_title_has_no_line_and_stays_in_its_place_while_others_are_typed() -> None:
    sheet = begun()
    changed, key = insert(sheet, 1)
    sheet = retold(sheet, changed)
    assert sheet.text == THREE
    sheet = typed(sheet, THREE.replace("7", "8"))
    assert [phase.key for phase in sheet.phases][1] == key
    assert edited(sheet, key, "title", "Song").text == "Warm-up 2\nSong ?\nReview 3\nModeling 8\n"


def test_moving_and_removing_rows_moves_and_removes_their_lines_and_no_other() -> None:
    sheet = begun("Warm-up 2\n???\nReview 3\nModeling 7\n")
    first = sheet.keys[0]
    moved = retold(sheet, move(sheet, [first], None))
    assert titles(moved) == ["Review", "Modeling", "Warm-up"]
    assert moved.text == "Review 3\nModeling 7\nWarm-up 2\n???\n"
    gone = retold(moved, remove(moved, [first]))
    assert titles(gone) == ["Review", "Modeling"]
    assert "???" in gone.text, "what was not understood is not the phase's"


def test_clock_times_are_written_anew_as_minutes_when_one_of_them_goes() -> None:
    """Each length stands between two times of day: none can be taken out alone."""
    sheet = begun("9:00 Warm-up\n9:05 Review\n9:10 Modeling\n9:20 End\n")
    budgets = {phase.title: phase.budget for phase in sheet.phases}
    after = retold(sheet, remove(sheet, [sheet.keys[0]]))
    assert titles(after) == titles(sheet)[1:]
    assert all(phase.budget == budgets[phase.title] for phase in after.phases)


def test_the_texts_title_fills_an_empty_title_and_leaves_one_that_was_written() -> None:
    text = "Thirds on a line\n\nWarm-up 2\nReview 3\n"
    assert begun(text).title == "Thirds on a line"
    assert typed(TypedDraft(title="Mine"), text).title == "Mine"


def test_an_opened_outline_stands_one_phase_a_line() -> None:
    draft = Draft(
        phases=(
            DraftPhase("p1", title="Skip count", kind="warm-up", budget="2", notes="Point as they count."),
            DraftPhase("p2", title="Model", kind="modeling", budget="7", class_line="adding thirds"),
        )
    )
    sheet = with_text(draft)
    assert sheet.text.count("\n") == 2
    assert "Model 7 adding thirds" in sheet.text
    assert sheet.plain == draft


def test_lines_not_understood_come_back_with_the_file() -> None:
    toml = written(begun().plain, None)
    kept = with_loose(toml, ["???", "5"])
    assert isinstance(draft_of(kept), Draft), "they are comments"
    assert without_loose(kept) == (toml, ["???", "5"])
    assert without_loose(toml) == (toml, [])
    assert unread_in(with_text(begun().plain, ["???"]).text) == ("???",)


def test_an_earlier_version_takes_the_keys_of_the_phases_it_shares() -> None:
    sheet = begun()
    version = Draft(phases=(DraftPhase("p1", title="Modeling"), DraftPhase("p2", title="Song")), keys_given=2)
    assert [phase.key for phase in rekeyed(version, sheet).phases] == [sheet.keys[2], "p4"]


# --- whatever is typed and edited ---------------------------------------------------------------------------

LINES = st.sampled_from(
    ["Warm-up 2", "Review 3", "Model 7 adding thirds", "- practice (8 min)", "???", "", "5", "Song",
     "9:00 Look back", "Share 5 [share]", "    note: boards up", "Total 20", "A\t3", "Fractions",
     "1. Talk 1:30", '"Move" 2', "Review 3", "groups 45", "----", "Phase | Minutes", "Sort | 4"]
)  # fmt: skip
VALUES = st.sampled_from(["", "3", "Review 4", "review", "2:30", "x", "9:00 to 9:05", "???"])
TEXTS = st.lists(LINES | st.text(max_size=12), max_size=9).map("\n".join)
DETAILS = ("floor", "cap", "cut_tier", "movable", "talk", "second_line", "problem", "attach")


def marked(sheet: TypedDraft) -> TypedDraft:
    """Each phase with something in every field that the text never says."""
    phases = tuple(replace(p, **dict.fromkeys(DETAILS, f"of {p.key}")) for p in sheet.phases)
    return replace(sheet, phases=phases)


def check(sheet: TypedDraft) -> None:
    """The text's phases are the draft's, one for one and in their order."""
    found = read(sheet.text).phases
    assert len(found) == len(sheet.keys)
    assert [p.key for p in sheet.phases if p.key in sheet.keys] == list(sheet.keys)
    assert len({p.key for p in sheet.phases}) == len(sheet.phases)
    for said, key in zip(found, sheet.keys, strict=True):
        assert said.title == " ".join(sheet.phase(key).title.split())


@given(TEXTS, TEXTS)
def test_lines_that_stay_keep_every_other_field(first: str, second: str) -> None:
    sheet = marked(begun(first))
    check(sheet)
    after = typed(sheet, second)
    check(after)
    assert after.text.split("\n") == [*second.splitlines(), *([""] if after.text.endswith("\n") else [])] or (
        not second
    )
    for phase in after.phases:
        marks = {getattr(phase, name) for name in DETAILS}
        assert marks in ({f"of {phase.key}"}, {""}), "details of one phase never go to another"
    before = [(p.title, p.seconds, p.kind, p.class_line, p.notes) for p in read(first).phases]
    for said, key in zip(read(second).phases, after.keys, strict=True):
        if (
            before.count((said.title, said.seconds, said.kind, said.class_line, said.notes)) == 1
            and [p.title for p in read(second).phases].count(said.title) == 1
        ):
            assert after.phase(key).floor, "an unchanged line keeps its phase"


@given(TEXTS, st.data())
def test_whatever_the_table_does_no_line_is_lost_and_the_panes_agree(text: str, data: st.DataObject) -> None:
    sheet = begun(text)
    unread = sorted(unread_in(sheet.text))
    for _step in range(data.draw(st.integers(1, 4))):
        keys = [phase.key for phase in sheet.phases]
        what = data.draw(st.sampled_from(["insert", "field", "move", "remove", "duplicate"]))
        some = data.draw(st.sampled_from(keys)) if keys else None
        changed: Draft = sheet
        if what == "insert":
            changed, _key = insert(
                sheet, data.draw(st.integers(0, 9)), data.draw(st.sampled_from(["", "New"]))
            )
        elif some and what == "field":
            name = data.draw(st.sampled_from(["title", "budget", "kind", "class_line", "notes", "floor"]))
            value = data.draw(VALUES)
            changed, _words = set_field(sheet, some, name, value)
        elif some and what == "move":
            changed = move(sheet, [some], data.draw(st.sampled_from([*keys, None])))
        elif some and what == "remove":
            changed = remove(sheet, [some])
        elif some and what == "duplicate":
            changed, _keys = duplicate(sheet, [some])
        assert isinstance(changed, TypedDraft)
        after = retold(sheet, changed)
        check(after)
        assert [replace(p) for p in after.phases] == list(changed.phases), (
            "the text never overrules the table"
        )
        # Without a phase beside it a line may be read in another way: it stands in the text all the same.
        kept = [*after.text.split("\n"), *after.table_list.split("\n")]
        left = list(unread_in(after.text))
        assert all(line in left or line in kept for line in unread)
        sheet = after


@pytest.mark.slow
def test_of_a_book_pasted_by_mistake_no_line_is_lost_however_few_are_told() -> None:
    words = [f"word {number} of a book" for number in range(20_000)]
    sheet = begun(THREE + "".join(f"{word}\n" for word in words))
    assert unread_in(sheet.text)[-18_000:] == tuple(words[2_000:])
    after = edited(sheet, sheet.keys[0], "title", "Count")
    assert sorted(after.text.split("\n")[1:]) == sorted(sheet.text.split("\n")[1:])


@given(TEXTS, TEXTS)
def test_typing_back_what_was_there_gives_the_same_phases_again(first: str, second: str) -> None:
    sheet = marked(begun(first))
    again = typed(typed(sheet, second), first)
    check(again)
    titles_once = [p.title for p in sheet.phases]
    for phase in again.phases:
        if titles_once.count(phase.title) == 1 and phase.title not in {p.title for p in read(second).phases}:
            assert phase.floor in ("", f"of {phase.key}")


@given(TEXTS)
def test_a_file_made_from_any_text_opens_to_the_same_phases(text: str) -> None:
    sheet = begun(text)
    opened = draft_of(written(sheet.plain, None))
    assert isinstance(opened, Draft)
    check(with_text(opened))
    assert opened.content.phases == sheet.plain.content.phases


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_loose_lines_follow_the_files_line_ends(end: str) -> None:
    toml = f'format = 1{end}title = "T"{end}'
    assert without_loose(with_loose(toml, ["???", "5\u00a0", "\u2192"])) == (
        toml,
        ["???", "5\u00a0", "\u2192"],
    )


def test_any_kind_of_line_end_that_was_pasted_is_one_line_end():
    sheet = typed(TypedDraft(), "Review 3\x85Model 7\u2028-;\x0b_\r\nPractice 8\rLook back 2")
    assert sheet.text == "Review 3\nModel 7\n-;\n_\nPractice 8\nLook back 2"
    after = retold(sheet, remove(sheet, [sheet.phases[0].key]))
    assert {"-;", "_"} <= {*after.text.split("\n"), *after.table_list.split("\n")}


# --- groups and share


def test_lines_about_groups_and_share_write_their_fields_and_no_phase() -> None:
    sheet = begun(
        THREE + "Groups 3 x 12\nShare 5\nGroups: Circle (carpet), Star\nFirst to the table: Star, Circle\n"
    )
    assert titles(sheet) == ["Warm-up", "Review", "Modeling"]
    assert (sheet.block.groups, sheet.block.share, sheet.block.order) == ("3", "5", "Star, Circle")
    assert sheet.named_groups == (DraftGroup("Circle", "carpet"), DraftGroup("Star"))
    longer = typed(sheet, sheet.text.replace("3 x 12", "4 x 9").replace("Share 5\n", ""))
    assert (longer.block.groups, longer.block.share) == ("4", "")


def test_what_was_written_in_a_field_stays_whatever_the_text_says_next() -> None:
    sheet = begun(THREE + "Groups 3 x 12\nGroups: Circle, Star\n")
    changed = set_block(set_listed(sheet, "named_groups", "Heart")[0], "groups", "2")[0]
    assert isinstance(changed, TypedDraft)
    after = typed(retold(sheet, changed), THREE + "Groups 4 x 9\nGroups: Moon, Star\n")
    assert (after.block.groups, after.named_groups) == ("2", (DraftGroup("Heart"),))


def test_a_row_that_is_edited_leaves_the_lines_about_groups_where_they_stand() -> None:
    sheet = begun("Warm-up 2\nGroups 3 x 12\nReview 3\n")
    after = edited(sheet, sheet.keys[1], "budget", "4")
    assert after.text == "Warm-up 2\nGroups 3 x 12\nReview 4\n"
    assert after.block.groups == "3"


def test_a_copy_as_text_has_groups_and_share_and_is_read_back_to_the_same() -> None:
    draft = set_listed(begun(), "named_groups", "Circle | carpet\nStar")[0]
    draft = set_listed(draft, "stations", "Our table | with me | | teacher\nGames | dice")[0]
    draft = set_block(set_block(draft, "order", "Star, Circle")[0], "share_prompt", "I found ____ .")[0]
    text = plain_outline(draft)
    assert text == THREE + (
        "Groups: Circle (carpet), Star\nFirst to the table: Star, Circle\n"
        "Stations: Our table (with me; teacher), Games (dice)\nShare prompt: I found ____ .\n"
    )
    again = begun(text)
    for name in ("named_groups", "stations"):
        assert listed_text(again, name) == listed_text(draft, name)
    assert (again.block.order, again.block.share_prompt) == ("Star, Circle", "I found ____ .")
    assert plain_outline(begun()) == THREE
