"""Who may see what: from what is known of screens, lesson and answers to what every window shows."""

from dataclasses import dataclass, field, replace
from enum import Enum
from typing import Literal

Activity = Literal["pages", "lesson", "rehearsal", "left"]
"""Left: the lesson is over where children may still see this screen."""
ScreenKind = Literal["wall", "ask", "only one"]
WallPlace = Literal["class", "own"]
"""The class's screen, or the private window's own."""
Private = Literal["pages", "desk", "curtain", "question"]
WindowPlace = Literal["none", "apart", "edge", "same"]
CardScreen = Literal["none", "apart", "shared", "moved"]
DeskCard = Literal["none", "paper", "shown"]
"""Paper: its window is there and tells nothing, for the curtain is drawn."""
WallFace = Literal["full", "strip", "blank", "off"]
Question = Literal["numbers", "one screen", "rehearsal"]
Cause = Literal["changed", "asked", "second", "own"]
"""Why the curtain is there: screens changed, which one the class sees is asked, a second one came, or this
window was where the class looks and is on the teacher's own screen now."""
CurtainWords = Literal[
    "changed", "asked", "second", "own", "mirrored", "move", "wall only", "unsaved", "over", "kept",
    "class", "looking", "pages mirrored", "pages class", "pages unknown", "question",
]  # fmt: skip
SeenBy = Literal["teacher", "class", "unknown"]


class OneScreen(Enum):
    """What to show where there is only one screen, or all show the same, by the teacher's answer."""

    WALL_ONLY = "wall"
    WALL_AND_MARK = "wall and mark"  # the Wall, and a small mark without words for the teacher
    DESK_ONLY = "desk"  # nobody else sees this screen
    CANCEL = "cancel"


@dataclass(frozen=True)
class Screens:
    """What is known of the screens there are.

    ``kind``: which of them the class sees is known by an earlier answer ("wall"), has to be asked ("ask"), or
    none is apart from the private window's ("only one"). ``several``: there is more than one.
    ``home``: this lesson's Wall has no screen of its own yet, has it, or lost it. ``window``: the private
    window is apart from the screen that the Wall goes to, reaches over its edge, or shows the same picture;
    "none" without such a screen. ``main``: the private window is on the main screen. ``seen_by``: who sees
    the screen of the private window, by all that was answered in any room; a single screen is the teacher's
    until some answer says otherwise, or nobody could plan a lesson on a laptop.
    """

    kind: ScreenKind = "only one"
    several: bool = False
    home: Literal["none", "here", "gone"] = "none"
    window: WindowPlace = "none"
    main: bool = True
    seen_by: SeenBy = "teacher"
    card: CardScreen = "none"

    @property
    def is_certain(self) -> bool:
        """Whether the screen that the Wall goes to is the class's, and no guess."""
        return self.home == "here" or self.kind == "wall"

    @property
    def meets_class(self) -> bool:
        """Whether a part of the private window is on the screen that the Wall goes to."""
        return self.window in ("edge", "same")

    @property
    def are_mirrored(self) -> bool:
        """Whether there are several, and all show some of the private window's."""
        return self.kind == "only one" and self.several

    @property
    def may_be_seen(self) -> bool:
        """Whether, outside a lesson, the class may see the private window; where in doubt it may."""
        if self.are_mirrored:
            return True
        return self.meets_class if self.is_certain else self.seen_by != "teacher"


@dataclass(frozen=True)
class Situation:
    """All that decides who may see what.

    ``said`` is the teacher's answer for this time, None where none was needed; ``lifted`` whether she lifted
    the curtain since something covered this window. ``asking``: a question is open. ``settled`` is False
    while screens change. ``unsaved``: she was told that presses would be lost, and they would still be.
    ``lost``: the system put the Wall away and does not let it come back. ``leaving``: she closed the window
    in a lesson; it is kept, and goes on unless she closes once more.
    """

    activity: Activity = "pages"
    screens: Screens = field(default_factory=Screens)
    said: OneScreen | None = None
    lifted: bool = True
    cause: Cause = "changed"
    asking: bool = False
    settled: bool = True
    unsaved: bool = False
    face: WallFace = "off"
    lost: bool = False
    leaving: bool = False

    @property
    def has_lesson(self) -> bool:
        """Whether a lesson is on the screens, or a rehearsal."""
        return self.activity in ("lesson", "rehearsal")

    @property
    def only_wall(self) -> bool:
        """Whether children see this lesson's only screen, so that nothing but the Wall is drawn."""
        return self.activity == "lesson" and self.said in (OneScreen.WALL_ONLY, OneScreen.WALL_AND_MARK)

    @property
    def desk_wanted(self) -> bool:
        """Whether the Desk is worked out: where only the Wall is drawn, for the mark alone."""
        return not self.only_wall or self.said is OneScreen.WALL_AND_MARK

    @property
    def alone(self) -> bool:
        """Whether the teacher said that nobody else sees this screen."""
        return self.said is OneScreen.DESK_ONLY


@dataclass(frozen=True)
class Plan:
    """What every window shows.

    ``words`` is what the curtain says. ``wall`` is None where there is no Wall; where ``settled`` is False it
    stays where it is until things have settled. ``above``: the Wall lies above the covered private window,
    and notes on the other screens ask to move that window there. ``lifts``: Enter lifts the curtain.
    ``frameless``: the covered window has no title bar, as the class sees it with no full Wall over it.
    ``paper``: the Wall is calm and empty, whatever the lesson would show. ``card``: what the Desk card shows.
    """

    private: Private
    words: CurtainWords | None = None
    wall: WallPlace | None = None
    above: bool = False
    mark: bool = False
    lifts: bool = False
    paper: bool = False
    settled: bool = True
    frameless: bool = False
    card: DeskCard = "none"

    @property
    def wall_takes_keys(self) -> bool:
        """Whether the Wall has the keyboard: only where nothing else is shown."""
        return self.wall == "own"


def question(now: Situation) -> Question | None:
    """What the teacher has to answer before anything private may be shown, if anything."""
    screens = now.screens
    if now.activity == "rehearsal":
        alone = screens.kind == "only one" and screens.seen_by == "class"
        seen = screens.are_mirrored or alone or (screens.is_certain and screens.meets_class)
        return "rehearsal" if seen and not now.alone else None
    if now.activity != "lesson" or now.only_wall:
        return None
    if screens.kind == "only one" and not now.alone and (screens.several or screens.home != "here"):
        return "one screen"
    return "numbers" if screens.kind == "ask" and screens.home != "here" else None


def plan(now: Situation) -> Plan:
    """The table: the first line that fits counts. In doubt only the Wall is shown."""
    screens, may_lift = now.screens, question(now) is None
    wall: WallPlace | None = None if screens.window == "none" else "class"
    here: CurtainWords = "mirrored" if screens.are_mirrored else "move"
    known = screens.is_certain or screens.seen_by == "class"
    page: CurtainWords = (
        "pages mirrored" if screens.are_mirrored else "pages class" if known else "pages unknown"
    )
    mark = now.said is OneScreen.WALL_AND_MARK and now.face in ("full", "strip")
    match now:
        case Situation(activity="pages", settled=False):
            line = Plan("curtain", "looking")
        case Situation(activity="pages", lifted=False, screens=Screens(may_be_seen=True)):
            line = Plan("curtain", page, lifts=True)
        case Situation(activity="pages"):
            line = Plan("pages")
        case Situation(activity="left"):
            line = Plan("curtain", "over")
        case Situation(leaving=True):
            # The class looks at paper: a Wall apart, or this curtain, which tells nothing of the lesson.
            apart = now.activity == "lesson" and now.said is None and screens.window in ("apart", "edge")
            place: WallPlace | None = "class" if apart else None
            line = Plan("curtain", "kept", place, above=screens.window == "edge" and apart, paper=True)
        case Situation(only_wall=True, unsaved=True):
            line = Plan("curtain", "unsaved")
        case Situation(only_wall=True):
            line = Plan("curtain", "wall only", "own", mark=mark)
        case Situation(activity="rehearsal") if not may_lift:
            # With the lid closed there is no screen of her own to move to.
            line = Plan("curtain", here if screens.several else "class", lifts=True)
        case Situation(activity="rehearsal", lifted=False):
            line = Plan("curtain", now.cause, lifts=True)
        case Situation(activity="rehearsal"):
            line = Plan("desk")
        case Situation(alone=True, lifted=True, screens=Screens(kind="only one")):
            line = Plan("desk")
        case Situation(screens=Screens(meets_class=True)):
            line = Plan("curtain", here, wall, above=True, lifts=True)
        case Situation(lifted=True) if may_lift:
            line = Plan("desk", None, wall)
        case _:
            line = Plan("curtain", now.cause, wall, lifts=True)
    bare = now.settled and now.face != "full" and line.words in ("mirrored", "wall only", "unsaved")
    private: Private = "question" if now.asking else line.private
    card = _card(now, private)
    return replace(line, private=private, settled=now.settled, frameless=bare, card=card)


def _card(now: Situation, private: Private) -> DeskCard:
    """What the Desk card shows: never more than the Desk does, and only on a screen that is beyond doubt.

    An answer for one screen, or for screens that show the same, tells nothing of a third one. While screens
    change the card is away: the system may have put it anywhere.
    """
    screens = now.screens
    known = screens.is_certain and screens.kind != "only one" and screens.card == "apart"
    if not (known and now.has_lesson and now.said is None and now.settled):
        return "none"
    return "shown" if private == "desk" else "paper"


def decide(now: Situation) -> tuple[Situation, Plan]:
    """The plan for what was just seen, and the situation once it is carried out."""
    screens = now.screens
    apart = screens.window in ("apart", "edge") and (screens.is_certain or screens.main)
    if now.only_wall and now.settled and apart:
        # The class has a screen of its own now; this one waits behind the curtain.
        now = replace(now, said=None, lifted=False, cause="second", unsaved=False)
    if now.activity == "rehearsal" and now.alone and question(replace(now, said=None)) is None:
        now = replace(now, said=None)  # this window left the screen of which that was said
    if now.activity == "pages" and not screens.may_be_seen:
        now = replace(now, lifted=False)  # once it is back where the class looks it waits for another Enter
    new_plan = plan(now)
    if new_plan.private == "curtain" and not now.leaving:
        own = new_plan.words in ("mirrored", "move", "class")
        now = replace(now, lifted=False, cause="own" if own else now.cause)
    return now, new_plan


def ended(now: Situation) -> Situation:
    """The lesson is over: the pages come where she pressed Enter or said that nobody else looks, and after a
    rehearsal that was not covered."""
    lifted = now.activity == "left" or now.alone or (now.activity == "rehearsal" and now.lifted)
    return replace(now, activity="left" if now.only_wall else "pages", lifted=lifted)


def screens_changed(now: Situation) -> Situation:
    """Any change of screens: all is covered, and that nobody else sees this screen must be said anew."""
    return replace(covered(now, "changed"), said=None if now.alone else now.said, settled=False)


def covered(now: Situation, cause: Cause) -> Situation:
    """The private window covered; a curtain that is there already keeps what it says."""
    return replace(now, lifted=False, cause=cause if now.lifted else now.cause)


def wall_waits(now: Situation) -> bool:
    """Whether the lesson's Wall waits for its screen to come back."""
    return now.activity == "lesson" and now.screens.home == "gone" and plan(now).wall is None


def wall_is_lost(now: Situation) -> bool:
    """Whether the lesson's Wall is put away by the system, where its own key has to bring it back."""
    return now.activity == "lesson" and now.lost and now.face == "full" and plan(now).wall is not None
