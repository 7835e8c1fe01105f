"""Who may see what: every situation there can be, and what holds in all of them."""

import random
from collections.abc import Iterator
from dataclasses import replace
from itertools import product
from typing import get_args

import pytest

from pacer.run.room_plan import (
    Activity,
    CardScreen,
    Cause,
    OneScreen,
    Plan,
    ScreenKind,
    Screens,
    SeenBy,
    Situation,
    WallFace,
    WindowPlace,
    covered,
    decide,
    ended,
    plan,
    question,
    screens_changed,
    wall_is_lost,
    wall_waits,
)

BOTH = (False, True)
ANSWERS = (None, OneScreen.WALL_ONLY, OneScreen.WALL_AND_MARK, OneScreen.DESK_ONLY)
ONLY_WALL = (OneScreen.WALL_ONLY, OneScreen.WALL_AND_MARK)
BY_CAUSE = set(get_args(Cause))


def test_outside_a_lesson_the_private_window_has_its_pages_and_there_is_no_wall() -> None:
    assert plan(Situation()) == Plan("pages", words=None, wall=None, lifts=False)


def test_the_wall_has_a_place_where_there_is_a_screen_for_it_and_else_none() -> None:
    home = Screens("wall", several=True, home="here", window="apart")
    assert plan(Situation(activity="lesson", screens=home)) == Plan("desk", None, "class")
    gone = Screens(home="gone", main=False)
    assert plan(Situation(activity="lesson", screens=gone, said=OneScreen.DESK_ONLY)).wall is None
    assert plan(Situation(activity="lesson", screens=gone)).wall is None


def test_a_curtain_over_the_teachers_own_screen_is_lifted_by_her() -> None:
    apart = Screens("wall", several=True, home="here", window="apart")
    now = Situation(activity="lesson", screens=apart, lifted=False, cause="second")
    assert plan(now) == Plan("curtain", "second", "class", lifts=True)


def test_an_open_question_is_all_that_the_private_window_shows() -> None:
    apart = Screens("wall", several=True, home="here", window="apart")
    for now in (Situation(asking=True), Situation(activity="lesson", screens=apart, asking=True)):
        assert plan(now).private == "question"
        assert plan(now) == replace(plan(replace(now, asking=False)), private="question")


@pytest.mark.parametrize("window", ["edge", "same"])
def test_where_the_class_sees_the_private_window_the_wall_lies_above_it_until_the_curtain_is_lifted(
    window: WindowPlace,
) -> None:
    now = Situation(activity="lesson", screens=Screens("wall", several=True, home="here", window=window))
    assert plan(now) == Plan("curtain", "move", "class", above=True, mark=False, lifts=True)


def test_while_a_lesson_is_closed_a_wall_apart_stays_as_paper_and_the_private_window_tells_nothing() -> None:
    apart = Screens("wall", several=True, home="here", window="apart")
    assert plan(Situation(activity="lesson", screens=apart, leaving=True)) == Plan(
        "curtain", "kept", "class", paper=True, settled=True
    )


def test_a_curtain_that_the_class_sees_has_no_title_bar_once_the_screens_have_settled() -> None:
    mirrored = Situation(activity="lesson", screens=Screens(several=True, window="same"), lifted=False)
    assert plan(mirrored).words == "mirrored"
    assert plan(mirrored).frameless
    assert not plan(replace(mirrored, settled=False)).frameless
    assert not plan(replace(mirrored, face="full")).frameless


def can_be(screens: Screens) -> bool:
    """Whether screens can be seen so: a known or living screen has a place, and one that is asked for is one
    of several."""
    if screens.is_certain and screens.window == "none":
        return False
    if screens.kind == "only one":
        # All that there is overlaps this window's screen.
        return screens.window == ("same" if screens.home == "here" else "none")
    return screens.several and screens.window != "none"


def all_screens() -> list[Screens]:
    found = product(get_args(ScreenKind), BOTH, ("none", "here", "gone"), get_args(WindowPlace), BOTH)
    return [screens for screens in (Screens(*values) for values in found) if can_be(screens)]


SCREENS = all_screens()


def everything(
    screens: list[Screens], faces: tuple[WallFace, ...], causes: tuple[Cause, ...] = get_args(Cause)
) -> Iterator[Situation]:
    told = [replace(one, seen_by=seen) for one in screens for seen in get_args(SeenBy)]
    for activity in get_args(Activity):
        # In a lesson nobody asks what was answered in other rooms.
        seen = screens if activity == "lesson" else told
        for values in product(seen, ANSWERS, BOTH, causes, BOTH, BOTH, BOTH, faces):
            yield Situation(activity, *values)


@pytest.fixture(scope="module")
def planned() -> list[tuple[Situation, Plan]]:
    """Every situation with its plan, which does not ask which screen is the main one.

    The Wall's face, which only the mark and the title bar follow, is drawn for each.
    """
    mains, chance = [screens for screens in SCREENS if screens.main], random.Random(1)
    faced = (replace(now, face=chance.choice(get_args(WallFace))) for now in everything(mains, ("full",)))
    return [(now, plan(now)) for now in faced]


@pytest.fixture(scope="module")
def situations() -> list[Situation]:
    """Every situation but for the Wall's face, which only the mark follows. What covers is drawn for each."""
    chance, causes = random.Random(2), get_args(Cause)
    return [replace(now, cause=chance.choice(causes)) for now in everything(SCREENS, ("full",), causes[:1])]


def may_be_seen(now: Situation) -> bool:
    """Whether children may see this window, said apart from the table: it is where the Wall goes; all screens
    show the same or there is only one; or nobody knows which screen is theirs. On the pages an only screen is
    the teacher's unless some answer speaks against it."""
    screens = now.screens
    if now.activity == "pages":
        if screens.kind == "only one" and screens.several:
            return True
        if screens.kind == "wall" or screens.home == "here":
            return screens.window != "apart"
        return screens.seen_by != "teacher"
    if now.said in ONLY_WALL:
        return now.activity == "lesson"
    if now.alone and screens.kind == "only one":
        return False
    if screens.kind == "only one" and (screens.several or screens.home != "here"):
        return now.activity == "lesson" or screens.several
    if screens.kind == "ask" and screens.home != "here":
        return now.activity == "lesson"  # a rehearsal has no Wall, and is where the teacher looks
    return screens.window != "apart"


def test_no_desk_is_uncovered_where_children_may_see_it(planned):
    checked = 0
    for now, made in planned:
        if now.has_lesson and may_be_seen(now) and not (now.activity == "rehearsal" and now.alone):
            assert made.private in ("curtain", "question"), now
            checked += 1
    assert checked > 5_000


def test_no_desk_is_uncovered_before_the_curtain_is_lifted_or_while_something_is_to_be_answered(planned):
    for now, made in planned:
        if made.private == "desk":
            assert now.lifted, now
            assert question(now) is None, now
            assert now.has_lesson, now
    assert {made.private for now, made in planned if now.asking} == {"question"}


def test_a_change_of_screens_covers_the_desk_whatever_was_before(situations):
    for now in situations:
        after, made = decide(screens_changed(now))
        assert made.private in ("curtain", "question"), now
        assert not after.alone, now
        assert not made.settled, now


def test_in_doubt_only_the_wall_is_shown(planned):
    """Asked or not, mirrored or alone: what is unsaid shows nothing but the Wall and a curtain."""
    for now, made in planned:
        if now.activity == "lesson" and question(now) is not None:
            assert made.private in ("curtain", "question"), now
            assert made.wall == (None if now.screens.window == "none" else "class"), now


def test_the_wall_stays_where_its_screen_lives(planned):
    checked = 0
    for now, made in planned:
        if now.activity == "lesson" and now.screens.home == "here" and now.said is None:
            assert made.wall == "class", now
            checked += 1
    assert checked > 500


def test_the_wall_leaves_a_living_screen_only_where_the_teacher_said_who_sees_it(planned):
    for now, made in planned:
        if now.activity == "lesson" and now.screens.window != "none" and made.wall != "class":
            assert now.said is not None, now
    gone = {(now.activity, made.wall) for now, made in planned if now.activity != "lesson"}
    assert gone == {("pages", None), ("rehearsal", None), ("left", None)}


def test_one_press_lifts_the_curtain_wherever_nobody_else_sees_this_window(planned):
    lifted = 0
    for now, made in planned:
        if not made.lifts or now.asking or question(now) is not None or now.activity == "pages":
            continue
        after, shown = decide(replace(decide(now)[0], lifted=True))
        meets = now.screens.meets_class and now.activity == "lesson" and not now.alone
        if not meets and not now.alone:
            assert shown.private == "desk", now
            assert decide(after) == (after, shown), "and it stays lifted"
            lifted += 1
    assert lifted > 1_000


def test_enter_lifts_every_curtain_but_where_only_the_wall_may_be_drawn_and_after_a_lesson_there(planned):
    """And but for the quarter of a second in which the screens of the pages change."""
    for now, made in planned:
        covers = made.words is not None and not now.only_wall and now.activity != "left"
        assert made.lifts == (covers and made.words != "looking"), now


@pytest.mark.parametrize(
    ("activity", "screens", "said", "wanted"),
    [
        ("lesson", Screens("only one"), None, "one screen"),
        ("lesson", Screens("only one", several=True), None, "one screen"),
        ("lesson", Screens("only one", several=True, home="gone"), None, "one screen"),
        # Mirrored, who sees it is asked each time. With the lid closed there is nothing to ask: children do.
        ("lesson", Screens("only one", several=True, home="here", window="same"), None, "one screen"),
        ("lesson", Screens("only one", home="here", window="same"), None, None),
        ("lesson", Screens("only one"), OneScreen.DESK_ONLY, None),
        ("lesson", Screens("only one"), OneScreen.WALL_ONLY, None),
        ("lesson", Screens("ask", several=True, window="apart"), None, "numbers"),
        ("lesson", Screens("ask", several=True, home="gone", window="apart"), None, "numbers"),
        ("lesson", Screens("ask", several=True, home="here", window="apart"), None, None),
        ("lesson", Screens("wall", several=True, window="same"), None, None),
        ("rehearsal", Screens("only one"), None, None),
        ("rehearsal", Screens("only one", several=True), None, "rehearsal"),
        ("rehearsal", Screens("only one", several=True), OneScreen.DESK_ONLY, None),
        ("rehearsal", Screens("ask", several=True, window="edge"), None, None),
        ("rehearsal", Screens("ask", several=True, home="here", window="edge"), None, "rehearsal"),
        ("rehearsal", Screens("wall", several=True, window="apart"), None, None),
        ("rehearsal", Screens("wall", several=True, window="same"), None, "rehearsal"),
        ("pages", Screens("only one"), None, None),
        ("left", Screens("ask", several=True, window="apart"), None, None),
    ],
)  # fmt: skip
def test_what_has_to_be_asked_before_anything_private_is_shown(activity, screens, said, wanted):
    assert question(Situation(activity, screens, said)) == wanted


def test_where_something_is_to_be_said_one_press_and_one_answer_lift_the_curtain():
    asked = set()
    for screens, activity in product(SCREENS, ("lesson", "rehearsal")):
        now = Situation(activity, screens)
        wanted = question(now)
        if wanted is None:
            continue
        asked.add((activity, wanted))
        answered = replace(now, said=OneScreen.DESK_ONLY)
        if wanted == "numbers":  # the teacher's answer makes a screen apart the class's
            answered = replace(now, screens=replace(screens, kind="wall", home="here", window="apart"))
        assert question(answered) is None, now
        assert plan(answered).private == "desk", now
    assert asked == {("lesson", "numbers"), ("lesson", "one screen"), ("rehearsal", "rehearsal")}


def test_where_only_the_wall_may_be_drawn_no_press_uncovers_anything(planned):
    for now, made in planned:
        if now.only_wall:
            assert not made.lifts, now
            assert made.private != "desk", now
            assert made.wall == (None if now.unsaved else "own"), now
            assert made.words == ("unsaved" if now.unsaved else "wall only"), now
    assert not Situation("pages", said=OneScreen.WALL_ONLY).only_wall


def test_only_a_wall_that_is_all_there_is_takes_the_keys(planned):
    for now, made in planned:
        assert made.wall_takes_keys == (now.only_wall and not now.unsaved), now


@pytest.mark.slow
def test_which_face_the_wall_has_decides_of_nothing_but_the_mark_and_the_title_bar(planned):
    for now, made in planned:
        off = plan(replace(now, face="off"))
        assert replace(made, mark=False, frameless=False) == replace(off, mark=False, frameless=False), now


def test_the_covered_window_has_no_title_bar_where_the_class_sees_it_and_no_full_wall_hides_it(planned):
    for now, made in planned:
        seen = now.settled and made.words in ("mirrored", "wall only", "unsaved")
        assert made.frameless == (seen and now.face != "full"), now


def test_the_mark_lies_beside_a_wall_that_is_seen_and_only_where_she_ticked_it(planned):
    for now, made in planned:
        ticked = now.activity == "lesson" and now.said is OneScreen.WALL_AND_MARK and not now.unsaved
        assert made.mark == (ticked and now.face in ("full", "strip")), now


def test_the_wall_lies_above_a_covered_window_that_is_where_it_is(planned):
    for now, made in planned:
        assert made.above == (made.wall == "class" and now.screens.meets_class), now
        if made.above:
            assert made.words in ("move", "mirrored"), now


def test_the_curtain_always_says_something_and_nothing_else_does(planned):
    for now, made in planned:
        assert (made.words is not None) == (
            made.private == "curtain" or (now.asking and made.words is not None)
        )
        if made.private == "curtain":
            assert made.words, now
            if made.words in BY_CAUSE:
                assert made.words == now.cause, now
    assert {made.words for _now, made in planned} >= BY_CAUSE


def test_a_second_screen_ends_that_only_the_wall_is_drawn():
    apart = Screens("wall", several=True, home="none", window="apart")
    for said, unsaved in product(ONLY_WALL, BOTH):
        now, made = decide(Situation("lesson", apart, said, lifted=False, unsaved=unsaved))
        assert (now.said, made.words, made.wall, made.private) == (None, "second", "class", "curtain")
        assert not now.unsaved
        assert decide(replace(now, lifted=True))[1].private == "desk"
    edge = replace(apart, window="edge")
    assert decide(Situation("lesson", edge, OneScreen.WALL_ONLY))[1].words == "move"
    guessed = Screens("ask", several=True, window="apart", main=True)
    assert decide(Situation("lesson", guessed, OneScreen.WALL_ONLY))[1].words == "second"
    # Until it is asked which screen the class sees, this window must be on the main one.
    elsewhere = replace(guessed, main=False)
    assert decide(Situation("lesson", elsewhere, OneScreen.WALL_ONLY))[1].wall == "own"
    halfway = Situation("lesson", guessed, OneScreen.WALL_ONLY, settled=False)
    assert decide(halfway)[0].said is OneScreen.WALL_ONLY


def test_a_curtain_keeps_its_words_while_a_change_comes_in_pieces():
    apart = Screens("wall", several=True, home="here", window="apart")
    second = decide(Situation("lesson", apart, OneScreen.WALL_ONLY))[0]
    again, made = decide(screens_changed(screens_changed(second)))
    assert made.words == "second"
    lifted = decide(replace(again, lifted=True, settled=True))[0]
    assert decide(screens_changed(lifted))[1].words == "changed"
    assert decide(covered(lifted, "asked"))[1].words == "asked"


def test_a_change_of_screens_does_not_end_that_only_the_wall_is_drawn():
    alone = Situation("lesson", Screens("only one"), OneScreen.WALL_AND_MARK, lifted=False, face="full")
    changed, made = decide(screens_changed(alone))
    assert (changed.said, made.words, made.wall, made.mark) == (alone.said, "wall only", "own", True)


@pytest.mark.parametrize(("kind", "words"), [("wall", "move"), ("only one", "mirrored")])
def test_a_window_that_comes_back_to_the_teacher_s_own_screen_says_so_and_waits(kind, words):
    here = Screens(kind, several=True, home="here", window="same")
    now, made = decide(Situation("lesson", here))
    assert (made.words, made.above) == (words, True)
    back, made = decide(replace(now, screens=replace(here, kind="wall", window="apart")))
    assert (made.words, made.private, made.above) == ("own", "curtain", False)
    assert decide(replace(back, lifted=True))[1].private == "desk"


def test_a_rehearsal_that_leaves_the_screen_of_which_she_said_nobody_sees_it_is_covered_when_it_returns():
    here = Screens("wall", several=True, home="here", window="same")
    now, made = decide(Situation("rehearsal", here, OneScreen.DESK_ONLY))
    assert made.private == "desk"
    now, made = decide(replace(now, screens=replace(here, window="apart")))
    assert made.private == "desk"
    now, made = decide(replace(now, screens=here))
    assert (made.private, made.words) == ("curtain", "move")


def test_the_class_s_only_screen_is_asked_about_before_a_rehearsal_is_shown_on_it():
    """The lid was closed: what is left is the screen that the class is known to see."""
    lid = Screens("only one", several=False, home="here", window="same")
    assert question(Situation("rehearsal", lid)) == "rehearsal"
    assert question(Situation("rehearsal", Screens("only one", seen_by="class"))) == "rehearsal"
    assert question(Situation("rehearsal", replace(lid, home="none", window="none"))) is None
    now, made = decide(Situation("rehearsal", lid))
    assert made.words == "class"  # there is nowhere to move the window to
    opened = Screens("wall", several=True, home="here", window="apart")
    assert decide(replace(now, screens=opened))[1].words == "own"


def test_the_lesson_waits_for_its_wall_only_where_there_is_none(planned):
    for now, made in planned:
        waits = now.activity == "lesson" and now.screens.home == "gone" and made.wall is None
        assert wall_waits(now) == waits, now


def test_a_wall_is_lost_only_where_the_system_put_away_one_that_a_lesson_has_over_a_whole_screen(planned):
    for now, made in planned:
        had = now.activity == "lesson" and now.face == "full" and made.wall is not None
        assert wall_is_lost(replace(now, lost=True)) == had, now
        assert not wall_is_lost(now), now


def test_a_page_is_shown_where_the_class_can_t_see_it_or_once_enter_was_pressed_and_nowhere_else(planned):
    counted = {True: 0, False: 0}
    for now, made in planned:
        if now.activity == "pages" and not now.asking:
            shown = now.settled and (now.lifted or not may_be_seen(now))
            assert made.private == ("pages" if shown else "curtain"), now
            assert (made.words is None) == shown, now
            assert (made.wall, made.above, made.mark) == (None, False, False), now
            counted[shown] += 1
    assert min(counted.values()) > 1_000


def test_a_lesson_left_where_children_look_stays_covered(planned):
    for now, made in planned:
        if now.activity == "left" and not now.asking:
            assert made == Plan("curtain", "over", settled=now.settled), now


def test_enter_shows_a_covered_page_until_the_window_leaves_or_the_screens_change(planned):
    """Back where the class looks it is covered again: what was said held for that time."""
    lifted = 0
    for now, _made in planned:
        if now.activity != "pages" or now.asking or not now.settled or not may_be_seen(now):
            continue
        covered_now = decide(replace(now, lifted=False))[0]
        after, shown = decide(replace(covered_now, lifted=True))
        assert shown.private == "pages", now
        assert decide(after) == (after, shown), "and it stays lifted"
        away = replace(after, screens=Screens("only one"))
        assert decide(away)[1].private == "pages"
        assert decide(replace(decide(away)[0], screens=now.screens))[1].private == "curtain", now
        settled = replace(decide(screens_changed(after))[0], settled=True)
        assert decide(settled)[1].private == "curtain", now
        lifted += 1
    assert lifted > 500


@pytest.mark.parametrize(
    ("screens", "words"),
    [
        (Screens("only one"), None),  # the ordinary laptop
        (Screens("only one", seen_by="class"), "pages class"),  # its lid was closed before the start
        (Screens("only one", seen_by="unknown"), "pages unknown"),
        (Screens("only one", several=True), "pages mirrored"),
        (Screens("only one", several=True, home="here", window="same"), "pages mirrored"),
        (Screens("only one", home="here", window="same"), "pages class"),  # after a lesson
        (Screens("wall", several=True, window="apart"), None),
        (Screens("wall", several=True, window="edge"), "pages class"),
        (Screens("wall", several=True, window="same", seen_by="class"), "pages class"),
        (Screens("ask", several=True, window="apart", seen_by="teacher"), None),
        (Screens("ask", several=True, window="apart", seen_by="unknown"), "pages unknown"),
        (Screens("ask", several=True, window="apart", seen_by="class"), "pages class"),
    ],
)  # fmt: skip
def test_at_the_start_a_page_waits_wherever_the_class_may_look(screens, words):
    now, made = decide(Situation("pages", screens, lifted=False))
    assert made.words == words
    assert (made.private == "pages") == (words is None)
    assert decide(replace(now, settled=False))[1].words == "looking"


def test_after_a_lesson_what_follows_is_covered_unless_she_just_said_that_nobody_looks(situations):
    for now in situations:
        if now.asking or not now.settled:
            continue
        after, made = decide(ended(now))
        assert made.private in ("pages", "curtain")
        if now.only_wall:
            assert (after.activity, made.words) == ("left", "over"), now
        elif may_be_seen(after) and not (
            now.alone or now.activity == "left" or (now.activity == "rehearsal" and now.lifted)
        ):
            assert made.private == "curtain", now
        else:
            assert (after.activity, made.private) == ("pages", "pages"), now


@pytest.mark.slow
def test_a_window_that_is_closed_in_a_lesson_shows_nothing_of_it_and_the_class_paper_wherever_it_looks(
    planned,
):
    places = set()
    for now, before in planned:
        made = plan(replace(now, leaving=True))
        if not now.has_lesson:
            assert made == before, "outside a lesson nothing is kept"
            continue
        assert made.private == ("question" if now.asking else "curtain"), now
        assert (made.words, made.paper, made.lifts, made.mark) == ("kept", True, False, False), now
        if before.wall == "class" and now.said is None and now.screens.window != "same":
            assert made.wall == "class", "a Wall apart stays, and is paper"
        else:
            assert made.wall is None, now
        places.add(made.wall)
    assert places == {None, "class"}
    assert not any(made.paper for _now, made in planned)


@pytest.mark.slow
def test_a_lesson_that_goes_on_after_a_close_is_where_it_was(situations):
    for now in situations:
        after, _made = decide(now)
        closed, _paper = decide(replace(after, leaving=True))
        assert decide(replace(closed, leaving=False))[1] == decide(after)[1], now


@pytest.mark.slow
def test_a_decision_that_is_carried_out_decides_the_same_again(situations):
    for now in situations:
        after, made = decide(now)
        again, same = decide(after)
        assert again == decide(again)[0], now
        if made.words not in ("mirrored", "move", "class"):
            assert (after, made) == (again, same), now


# The Desk card: private on a third screen, so it is there only where nothing is in doubt.


def the_class_may_see_the_card(now: Situation) -> bool:
    """Said apart from the table: the class's screen is not known, or the card's is not apart from it."""
    screens = now.screens
    known = screens.kind == "wall" or screens.home == "here"
    told_of_one = now.said is not None or screens.kind == "only one"
    return not known or told_of_one or screens.card != "apart" or not now.settled


@pytest.mark.slow
def test_no_situation_shows_the_desk_card_where_the_class_may_look_or_shows_more_than_the_desk(planned):
    counted = dict.fromkeys(("none", "paper", "shown"), 0)
    others = [place for place in get_args(CardScreen) if place != "apart"]
    for now, before in planned:
        assert before.card == "none", "without a screen for it there is no card"
        there = replace(now, screens=replace(now.screens, card="apart"))
        made = plan(there)
        seen = the_class_may_see_the_card(there) or not now.has_lesson
        assert made.card == ("none" if seen else "shown" if made.private == "desk" else "paper"), there
        counted[made.card] += 1
        if made.card != "none":
            assert replace(made, card="none") == before, "a card changes nothing of all else"
            for place in others:
                assert plan(replace(now, screens=replace(now.screens, card=place))).card == "none", now
    assert min(counted.values()) > 100


@pytest.mark.slow
def test_any_change_of_screens_takes_the_desk_card_away_at_once_and_it_comes_back_covered(situations):
    covered_cards = 0
    for now in situations:
        there = replace(now, screens=replace(now.screens, card="apart"))
        after, made = decide(screens_changed(there))
        assert made.card == "none", now
        back = decide(replace(after, settled=True))[1]
        assert back.card in ("none", "paper"), now
        covered_cards += back.card == "paper"
    assert covered_cards > 500


def test_one_press_lifts_the_desk_card_with_the_desk():
    screens = Screens("wall", several=True, home="here", window="apart", card="apart")
    for activity in ("lesson", "rehearsal"):
        now, made = decide(Situation(activity, screens, lifted=False))
        assert (made.private, made.card) == ("curtain", "paper")
        lifted, made = decide(replace(now, lifted=True))
        assert (made.private, made.card) == ("desk", "shown")
        assert decide(covered(lifted, "asked"))[1].card == "paper"
        assert decide(replace(lifted, asking=True))[1].card == "paper"
        assert decide(replace(lifted, leaving=True))[1].card == "paper"
        assert decide(ended(lifted))[1].card == "none"


def test_the_desk_card_waits_while_the_class_s_screen_is_gone_or_the_card_is_off_its_own():
    here = Screens("wall", several=True, home="here", window="apart", card="apart")
    now = decide(Situation("lesson", here))[0]
    assert decide(replace(now, screens=replace(here, kind="ask", home="gone")))[1].card == "none"
    for place in ("none", "shared", "moved"):
        assert decide(replace(now, screens=replace(here, card=place)))[1].card == "none"
