"""Which words of an outline the back row can't read on the Wall, by the sizes at which they are painted."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from pacer.frames.back_row import look_of, picture_height_mm
from pacer.frames.wall import PictureKey, WallFrame, WallLook, squares
from pacer.frames.wall_groups import first_places
from pacer.frames.words.wording import countdown
from pacer.plan.finding import Finding, KeyPath, told_finding
from pacer.plan.outline import Outline, Phase
from pacer.plan.sizes import (
    LEAST_ARC_MINUTES,
    USUAL_SHARE,
    WORDS_ARC_MINUTES,
    arc_minutes,
    credible_height_mm,
    needed_share,
)
from pacer.settings.model import Settings
from pacer.text import N_, _, counted

# The height of each text's capitals over the picture's, by what it is, in a picture of a size; None where
# nothing can be measured. It is the Wall's own layout: ``pacer.qt.wall.capitals``.
Measure = Callable[[WallFrame, tuple[int, int]], Mapping[str, float] | None]

WIDE, NARROW = (1920, 1080), (1024, 768)  # pictures of 16 : 9 and 4 : 3
MOST_NAMED = 3  # in one line
ROUNDING = 0.0015  # of the picture's height: letters come in whole pixels

_NAMES = {
    "class_line": N_("The line for the class"),
    "second_line": N_("The second language"),
    "problem": N_("The problem"),
    "burst": N_("A prompt for partner talk"),
    "share_prompt": N_("What the share asks"),
    "move_words": N_("What the transition says"),
}


@dataclass(frozen=True)
class SmallWords:
    """A text that is too small on the Wall: the field, its place in the file, and the phase's number.

    ``index`` is None for what the share asks and what the transition says; ``share`` is the height of its
    capitals over the picture's, 0 where some of it does not fit at all.
    """

    field: str
    place: KeyPath
    index: int | None
    title: str
    text: str
    share: float
    least: float
    seen: float | None
    narrow_only: bool

    @property
    def words(self) -> str:
        """What is too small, by how much, and what to do."""
        what = _(_NAMES[self.field])
        if self.title:
            what = _("{what} of “{title}”", what=what, title=self.title)
        if self.share <= 0:
            says = _("{what} does not fit on the Wall: make it shorter.", what=what)
        elif self.seen is None:
            says = _(
                "{what} is too small for the back row ({share} % of the picture, {least} % is the least): "
                "make it shorter."
            ).format(what=what, share=f"{self.share * 100:.1f}", least=f"{self.least * 100:.1f}")
        else:
            says = _(
                "{what} is too small for the back row ({seen}′, {least}′ is the least): make it shorter."
            )
            says = says.format(what=what, seen=int(self.seen), least=int(LEAST_ARC_MINUTES))
        return _("On a 4:3 picture: {words}", words=says[:1].lower() + says[1:]) if self.narrow_only else says

    @property
    def short(self) -> str:
        """What is too small, within a sentence."""
        name = _(_NAMES[self.field])
        name = name[:1].lower() + name[1:]
        return _("{what} of “{title}”", what=name, title=self.title) if self.title else name

    @property
    def finding(self) -> Finding:
        """The same as one thing to tell of a plan."""
        return told_finding("small_words", self.place, self.words)


def shapes_of(settings: Settings) -> tuple[tuple[int, int], ...]:
    """The picture in pixels as the class's screen of the last room has it; both usual shapes if unknown."""
    pixels = settings.rooms[-1].wall.pixels if settings.rooms else (0, 0)
    return (WIDE, NARROW) if min(pixels) < 1 else (pixels,)


def known_height_mm(settings: Settings) -> int | None:
    """The picture's height as it was typed, else as the class's screen of the last room reported it.

    None where nothing is known of it, or the report can't be believed.
    """
    reported = None
    if settings.rooms:
        wall = settings.rooms[-1].wall
        reported = credible_height_mm(*wall.millimetres, *wall.pixels)
    return picture_height_mm(settings, reported)


def small_words(outline: Outline, settings: Settings, measure: Measure) -> tuple[SmallWords, ...]:
    """All that the back row can't read of an outline, in the order of the file."""
    return tuple(found for found in look_through(outline, settings, measure) if found is not None)


def look_through(outline: Outline, settings: Settings, measure: Measure) -> Iterator[SmallWords | None]:
    """Measure one text after the other, for who has no time for all at once: None where one can be read."""
    height = known_height_mm(settings)
    look = look_of(settings, height)
    needed = USUAL_SHARE if height is None else needed_share(height, settings.back_row_mm)
    # Where the room asks for more than the Wall can give, the page Room says so, once. Here: what is long.
    least = min(look.least_share, needed) * LEAST_ARC_MINUTES / WORDS_ARC_MINUTES
    shapes = shapes_of(settings)
    for field, place, index, part, frames in _texts(outline, look):
        smallest: dict[tuple[int, int], float] = {}
        for shape in shapes:
            shares = [measure(frame, shape) for frame in frames]
            known = [share.get(part, 0.0) for share in shares if share is not None]
            if not known:
                return
            smallest[shape] = min(known)
        share, shape = min((share, shape) for shape, share in smallest.items())
        if share >= least - ROUNDING:
            yield None
            continue
        wide_enough = smallest.get(WIDE, 0.0) >= least - ROUNDING
        seen = None if height is None or share <= 0 else arc_minutes(share * height, settings.back_row_mm)
        title = "" if index is None else outline.phases[index].title
        narrow = shape == NARROW and len(shapes) > 1 and wide_enough
        text = text_at(outline, place)
        yield SmallWords(field, place, index, title, text, share, least, seen, narrow)


def text_at(outline: Outline, place: KeyPath) -> str:
    """The text at a place of an outline; nothing where there is no such place any more."""
    match place:
        case ("phase", int(index), "burst", int(number), _) if index < len(outline.phases):
            bursts = outline.phases[index].bursts
            return bursts[number].prompt if number < len(bursts) else ""
        case ("phase", int(index), str(field)) if index < len(outline.phases):
            return str(getattr(outline.phases[index], field))
        case ("block", "move_words"):
            return outline.move_words
        case _:
            return outline.share_prompt


def still_so(small: Sequence[SmallWords], outline: Outline | None) -> tuple[SmallWords, ...]:
    """Of what was found before, that whose text is as it was."""
    if outline is None:
        return ()
    return tuple(each for each in small if text_at(outline, each.place) == each.text)


_Text = tuple[str, KeyPath, int | None, str, tuple[WallFrame, ...]]


def _texts(outline: Outline, look: WallLook) -> Iterator[_Text]:
    """Every text of an outline that the class is to read, with the faces of the Wall that show it."""
    for index, phase in enumerate(outline.phases):
        after = outline.phases[index + 1].title if index + 1 < len(outline.phases) else ""
        frames = _faces(phase, after, look)
        for field, part in (("class_line", "line"), ("second_line", "second")):
            if getattr(phase, field):
                yield field, ("phase", index, field), index, part, frames
        if phase.problem:
            filled = tuple(frame for frame in frames if frame.fill == "problem")
            yield "problem", ("phase", index, "problem"), index, "problem", filled
        for number, burst in enumerate(phase.bursts):
            if burst.prompt:
                talk = _timed(burst.length_s, look, title=_("Partner talk"), line=burst.prompt, turn=1)
                place: KeyPath = ("phase", index, "burst", number, "prompt")
                yield "burst", place, index, "line", (talk,)
    if outline.move_words and outline.has_second_half and outline.block.move_s:
        walk = _timed(outline.block.move_s, look, title=outline.move_words, groups=first_places(outline))
        picture = PictureKey(0, 1, "move") if outline.move_picture else None
        walk = replace(walk, moving=True, picture=picture)
        yield "move_words", ("block", "move_words"), None, "title", (walk,)
    if outline.share_prompt:
        share = _timed(outline.block.share_s, look, title=_("Share"), next_title=_("Clean up"))
        share = replace(share, prompt=outline.share_prompt)
        yield "share_prompt", ("block", "share_prompt"), None, "line", (share,)


def _faces(phase: Phase, after: str, look: WallLook) -> tuple[WallFrame, ...]:
    """The faces that a phase's words stand on: with its time, and what fills the Wall."""
    frame = _timed(phase.budget_s, look, title=phase.title, line=phase.class_line, next_title=after)
    frame = replace(frame, second_line=phase.second_line)
    faces = [frame]
    if phase.problem:
        faces.append(replace(frame, fill="problem", problem=phase.problem))
    return tuple(faces)


def _timed(total_s: int, look: WallLook, **said: object) -> WallFrame:
    """A face with all of its time left, as the teacher's settings want it to look."""
    frame = WallFrame(
        "full",
        digits=countdown(total_s * 1000) if look.digits else None,
        **squares(total_s * 1000, total_s, look),
        least_share=look.least_share,
        edge=look.edge,
    )
    return replace(frame, **said)  # type: ignore[arg-type]  # the names are those of the frame's fields


def in_one_line(small: Sequence[SmallWords]) -> str:
    """All of it in one line; nothing where the back row can read everything."""
    if not small:
        return ""
    shown = ", ".join(each.short for each in small[:MOST_NAMED])
    more = len(small) - MOST_NAMED
    if more > 0:
        shown = counted("{names} and {n} more", "{names} and {n} more", more, names=shown)
    return _("Too small on the Wall for the back row: {names}.", names=shown)
