"""The outline of one lesson as the program works with it: every default filled in, all times in seconds."""

from functools import cached_property
from typing import Literal, NamedTuple

from pydantic import BaseModel, ConfigDict

from pacer.plan.finding import KeyPath
from pacer.plan.kinds import AFTER_MINI_LESSON, Fate, KindName, TalkMode
from pacer.remember import identity_cache
from pacer.text import _

MAX_GROUPS = 12
VISIT_FLOOR_S = 480  # the least useful visit to the table: a choice of ours


class OutlinePart(BaseModel):
    """A frozen piece of an outline."""

    # Built when first used: a start waits for those alone that it shows.
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Burst(OutlinePart):
    """A planned partner burst: a short talk laid over its phase."""

    length_s: int
    prompt: str = ""


class Phase(OutlinePart):
    """One timed part of a lesson.

    ``cap_s`` is its own cap, ``cap_group`` the group whose cap it shares; ``wall`` the face that the
    Wall turns to here, None where it stays as it is. ``problem`` is a typed problem or a sentence frame,
    ``attach`` the relative path of a picture or a PDF, ``page`` the PDF's page to begin with, from 1.
    """

    id: str
    title: str
    kind: KindName
    budget_s: int
    floor_s: int
    cut_tier: int
    cap_s: int | None = None
    cap_group: str | None = None
    movable: Fate | None = None
    talk: TalkMode = "unmarked"
    examples: int = 0
    class_line: str = ""
    second_line: str = ""
    notes: str = ""
    wall: Literal["full", "strip", "off"] | None = None
    problem: str = ""
    attach: str = ""
    page: int = 1
    bursts: tuple[Burst, ...] = ()

    @property
    def is_pdf(self) -> bool:
        """Whether what is attached has pages to turn."""
        return self.attach.lower().endswith(".pdf")


class Block(OutlinePart):
    """The workshop block around the mini lesson.

    ``share_floor_s`` is the least the share keeps (None: all of it), ``visit_floor_s`` the least useful
    visit; ``order`` names the groups in the order of their visits, as far as it is written.
    """

    length_s: int
    move_s: int
    groups: int
    swap_s: int
    clean_up_s: int
    share_s: int
    share_floor_s: int | None = None
    visit_floor_s: int = VISIT_FLOOR_S
    order: tuple[str, ...] = ()

    @property
    def kept_share_s(self) -> int:
        """What the share keeps however late the lesson is, in seconds."""
        return self.share_s if self.share_floor_s is None else min(self.share_s, self.share_floor_s)


class Group(OutlinePart):
    """A group of children by a neutral name, where it sits first, and a picture for the Wall."""

    name: str
    place: str = ""
    picture: str = ""


class Station(OutlinePart):
    """A place where groups work: its name, two words for the Wall, a picture; one is the teacher's table."""

    name: str
    words: str = ""
    picture: str = ""
    teacher: bool = False


class ShownFile(NamedTuple):
    """A file beside the outline: the place of its key, its relative path, and a PDF's page."""

    place: KeyPath
    name: str
    page: int = 1


class Outline(OutlinePart):
    """A lesson plan. ``caps_s`` holds the cap of every cap group that a phase belongs to.

    ``unit`` names the stretch of lessons it belongs to; ``table_list`` is what is finished at the table
    instead, a line each; ``move_words`` and ``move_picture`` are what the Wall shows while children walk to
    their groups; ``folder`` is where attachments are looked for, empty where nothing is attached.
    """

    title: str
    subject: str = ""
    unit: str = ""
    table_list: str = ""
    block: Block
    mini_lesson_s: int
    caps_s: dict[str, int] = {}
    folder: str = ""
    phases: tuple[Phase, ...]
    groups: tuple[Group, ...] = ()
    stations: tuple[Station, ...] = ()
    share_prompt: str = ""
    move_words: str = ""
    move_picture: str = ""

    @property
    def has_second_half(self) -> bool:
        """Whether groups and share are run as visits; where they are typed as phases, those are run."""
        return self.block.groups > 0 and self.mini_count == len(self.phases)

    @property
    def visitors(self) -> tuple[Group, ...]:
        """The groups by their numbers, named where the outline names none; as many as the block has."""
        return _visitors(self)

    @property
    def visit_order(self) -> tuple[int, ...]:
        """Numbers of the groups in the order of their visits: as written, then as they are listed."""
        return _visit_order(self)

    @property
    def shown_files(self) -> tuple["ShownFile", ...]:
        """Every picture and PDF that the Wall may show: of phases, the move, groups and stations."""
        phases = (ShownFile(("phase", at, "attach"), of.attach, of.page) for at, of in enumerate(self.phases))
        groups = (ShownFile(("group", at, "picture"), of.picture) for at, of in enumerate(self.groups))
        stations = (ShownFile(("station", at, "picture"), of.picture) for at, of in enumerate(self.stations))
        move = ShownFile(("block", "move_picture"), self.move_picture)
        return tuple(file for file in (*phases, move, *groups, *stations) if file.name)

    @cached_property
    def mini_count(self) -> int:
        """How many phases, from the first, belong to the mini lesson; moves and groups come after."""
        after = (index for index, phase in enumerate(self.phases) if phase.kind in AFTER_MINI_LESSON)
        return next(after, len(self.phases))

    def span(self, index: int) -> range:
        """Indices of the part of the day that a phase shares its end with."""
        if index < self.mini_count:
            return range(self.mini_count)
        return range(self.mini_count, len(self.phases))

    def span_end_s(self, index: int) -> int:
        """When that part of the day ends, in seconds after the planned start.

        Groups leave room for a share that is not written as a phase, and for the clean-up.
        """
        if index < self.mini_count:
            return self.mini_lesson_s
        shares = any(phase.kind == "share" for phase in self.phases)
        return self.block.length_s - self.block.clean_up_s - (0 if shares else self.block.share_s)

    def index_of(self, phase_id: str) -> int | None:
        """Position of a phase by its id, or by its number counted from 1."""
        for index, phase in enumerate(self.phases):
            if phase.id == phase_id:
                return index
        if phase_id.isascii() and phase_id.isdigit() and 1 <= int(phase_id) <= len(self.phases):
            return int(phase_id) - 1
        return None


# Not as cached properties: those outlive a copy in another block.
@identity_cache
def _visitors(outline: Outline) -> tuple[Group, ...]:
    # Where more are named than come today, those that the order names come first.
    ordered = {name.casefold() for name in outline.block.order}
    listed = range(len(outline.groups))
    coming = sorted(listed, key=lambda at: outline.groups[at].name.casefold() not in ordered)
    named = [outline.groups[at] for at in sorted(coming[: outline.block.groups])]
    names = {group.name.casefold() for group in named}
    spare = (name for name in neutral_names() if name.casefold() not in names)
    return (*named, *(Group(name=next(spare)) for _ in range(outline.block.groups - len(named))))


@identity_cache
def _visit_order(outline: Outline) -> tuple[int, ...]:
    numbers = {group.name.casefold(): number for number, group in enumerate(outline.visitors)}
    first = [numbers[name.casefold()] for name in outline.block.order if name.casefold() in numbers]
    return tuple(dict.fromkeys((*first, *range(len(outline.visitors)))))


def neutral_names() -> tuple[str, ...]:
    """Names of groups that say nothing of the children in them; none is a square, which is a minute."""
    return (
        _("Circle"), _("Triangle"), _("Hexagon"), _("Star"), _("Heart"), _("Pentagon"), _("Oval"), _("Cross"),
        _("Moon"), _("Arrow"), _("Drop"), _("Leaf"),
    )  # fmt: skip
