"""Does the plan fit? Budgets and floors against the mini lesson, and what the block leaves for groups."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from pacer.plan.kinds import REVIEWING
from pacer.plan.outline import Block, Outline, Phase

# The honest mini lesson is one of three parts: small groups get twice its time. Common practice, no source;
# so are a block of 60 minutes at least, 20 to 30 for the mini lesson, and one or two modeled examples.
PARTS = 3
LEAST_BLOCK_S = 3600
SHORT_MINI_S, LONG_MINI_S = 1200, 1800
MOST_EXAMPLES = 2
QUIET_BREAKS_S, BURST_BREAKS_S = 30, 10
VISIT_STEP_S = 15  # visits are timed in fourths of a minute; what that leaves over goes to the share


@dataclass(frozen=True)
class LongestTalk:
    """The longest stretch of planned teacher talk, in seconds, and the phases it runs through."""

    seconds: int
    phases: tuple[int, ...]


@dataclass(frozen=True)
class BlockParts:
    """How the block is divided if all goes to plan, in seconds: what bar, words and check say, all of them.

    ``phases_s`` is what the mini lesson's phases get of their budgets, ``spare_s`` what they leave of its
    length. ``visits`` visits of ``visit_s`` each are ``groups_s`` together. ``free_s`` is left where no group
    comes; ``over_s`` is what reaches past the bell.
    """

    phases_s: int
    spare_s: int
    move_s: int
    swaps_s: int
    visits: int
    visit_s: int
    groups_s: int
    share_s: int
    clean_up_s: int
    free_s: int
    over_s: int

    @property
    def total_s(self) -> int:
        """All parts together: the block, and what reaches past its bell."""
        return (
            self.phases_s + self.spare_s + self.move_s + self.swaps_s + self.groups_s + self.share_s
            + self.clean_up_s + self.free_s
        )  # fmt: skip

    @property
    def ratio(self) -> Fraction:
        """How many seconds of small group come with each second of mini lesson; 0 where there is none."""
        mini_s = self.phases_s + self.spare_s
        return Fraction(self.groups_s, mini_s) if mini_s else Fraction(0)


@dataclass(frozen=True)
class Fit:
    """Totals of budgets and floors, and the parts of the block; all in seconds.

    ``budgets_s`` and ``floors_s`` are those of the mini lesson's phases, ``length_s`` is its length (where
    none is written, the sum of the budgets) and ``honest_s`` the longest that leaves groups twice as much.
    ``room_s`` is what the block has for mini lesson and groups. ``review_s`` is planned for warm-up and
    review, under the cap ``review_cap_s`` (None: no such phase). ``examples`` are those that are modeled.
    """

    budgets_s: int
    floors_s: int
    length_s: int
    honest_s: int
    block_s: int
    room_s: int
    parts: BlockParts
    review_s: int
    review_cap_s: int | None
    stretch: LongestTalk
    examples: int

    @property
    def spare_s(self) -> int:
        """What the mini lesson has left over its budgets; negative when they are too much."""
        return self.length_s - self.budgets_s


def moves_s(block: Block, count: int | None = None) -> int:
    """Moving in and every swap between ``count`` groups, in seconds; none without groups."""
    groups = block.groups if count is None else count
    return block.move_s + (groups - 1) * block.swap_s if groups > 0 else 0


def time_for_both_s(block: Block) -> int:
    """What mini lesson and groups share, in seconds, once share, moves and clean-up are charged."""
    return max(0, block.length_s - block.share_s - moves_s(block) - block.clean_up_s)


def visit_s(block: Block, mini_lesson_s: int, count: int | None = None) -> int:
    """How long ``count`` equal visits are beside the whole share, in whole seconds; 0 without any."""
    groups = block.groups if count is None else count
    kept_s = block.share_s + block.clean_up_s + moves_s(block, groups)
    return max(0, block.length_s - mini_lesson_s - kept_s) // groups if groups > 0 else 0


def timed_visit_s(block: Block, mini_lesson_s: int, count: int | None = None) -> int:
    """How long each of ``count`` visits is timed, in seconds: down to a fourth of a minute."""
    return visit_s(block, mini_lesson_s, count) // VISIT_STEP_S * VISIT_STEP_S


def honest_mini_lesson_s(block: Block) -> int:
    """The longest mini lesson that leaves the groups twice its time, in whole seconds."""
    return time_for_both_s(block) // (PARTS if block.groups else 1)


def parts_of(outline: Outline) -> BlockParts:
    """The parts of an outline's block. Groups that are typed as phases have the time that visits would."""
    block, mini_s = outline.block, outline.mini_lesson_s
    budgets_s = sum(phase.budget_s for phase in outline.phases[: outline.mini_count])
    kept_s = moves_s(block) + block.share_s + block.clean_up_s
    left_s = max(0, block.length_s - mini_s - kept_s)
    visit, groups_s = timed_visit_s(block, mini_s), left_s if block.groups else 0
    if outline.has_second_half:
        groups_s = visit * block.groups
    return BlockParts(
        phases_s=min(budgets_s, mini_s),
        spare_s=max(0, mini_s - budgets_s),
        move_s=block.move_s if block.groups else 0,
        swaps_s=max(0, block.groups - 1) * block.swap_s,
        visits=block.groups,
        visit_s=visit,
        groups_s=groups_s,
        share_s=block.share_s + (left_s - groups_s if block.groups else 0),
        clean_up_s=block.clean_up_s,
        free_s=0 if block.groups else left_s,
        over_s=max(0, mini_s + kept_s - block.length_s),
    )


def fit_of(outline: Outline) -> Fit:
    """The totals of an outline."""
    mini = outline.phases[: outline.mini_count]
    block = outline.block
    reviewing = [phase.budget_s for phase in mini if phase.cap_group == REVIEWING]
    return Fit(
        budgets_s=sum(phase.budget_s for phase in mini),
        floors_s=sum(phase.floor_s for phase in mini),
        length_s=outline.mini_lesson_s,
        honest_s=honest_mini_lesson_s(block),
        block_s=block.length_s,
        room_s=time_for_both_s(block),
        parts=parts_of(outline),
        review_s=sum(reviewing),
        review_cap_s=outline.caps_s.get(REVIEWING) if reviewing else None,
        stretch=planned_stretch(mini),
        examples=sum(phase.examples for phase in mini if phase.kind == "modeling"),
    )


def planned_stretch(phases: Sequence[Phase]) -> LongestTalk:
    """The longest planned stretch of teacher talk, across phase borders.

    Broken by class talk, by partner talk and by quiet work of half a minute or more, as in the lesson itself.
    A burst planned inside a phase is taken to come so that it parts the phase's talk evenly.
    """
    longest = running = LongestTalk(0, ())
    for index, phase in enumerate(phases):
        if phase.talk != "teacher":
            if phase.talk != "quiet" or phase.budget_s >= QUIET_BREAKS_S:
                running = LongestTalk(0, ())
            continue
        breaks = [burst.length_s for burst in phase.bursts if burst.length_s >= BURST_BREAKS_S]
        talked = max(0, phase.budget_s - sum(breaks))
        piece = -(-talked // (len(breaks) + 1))
        running = LongestTalk(running.seconds + piece, (*running.phases, index))
        longest = max(longest, running, key=lambda stretch: stretch.seconds)
        if breaks:
            running = LongestTalk(piece, (index,))
    return longest
