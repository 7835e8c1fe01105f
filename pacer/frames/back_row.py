"""The test card: how large each thing on the Wall is, what the back row can read of it, and what it can't."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from typing import Literal

from pacer.frames.wall import WallFrame, WallLook
from pacer.plan.sizes import (
    MM_IN_INCH,
    SLACK,
    Verdict,
    ada_height_in,
    arc_minutes,
    distance_share_mm,
    is_enough,
    judge,
    least_share,
    needed_share,
)
from pacer.settings.model import Settings
from pacer.text import N_, _

WallPart = Literal["digits", "squares", "title", "line", "least", "strip_digits", "strip_title"]
ON_CARD: tuple[WallPart, ...] = ("digits", "squares", "title", "line", "least")

_NAMES: dict[WallPart, str] = {
    "digits": N_("digits"),
    "squares": N_("minute squares"),
    "title": N_("title"),
    "line": N_("line for the class"),
    "least": N_("smallest words"),
    "strip_digits": N_("digits in the strip"),
    "strip_title": N_("title in the strip"),
}
_MARKS: tuple[WallPart, ...] = ("digits", "squares", "strip_digits")
# Baselines in a picture hang about so high over the floor, in inches; the ADA table has a row for each.
_BASELINES_IN = (Fraction(70), Fraction(120))


@dataclass(frozen=True)
class SizeRow:
    """One thing on the Wall: its height over the picture's, and how the back row sees it.

    ``height_mm``, ``seen`` (arc-minutes) and ``verdict`` are None where the picture's height is not known.
    """

    part: WallPart
    share: float
    height_mm: float | None = None
    seen: float | None = None
    verdict: Verdict | None = None

    @property
    def name(self) -> str:
        """What it is, in the teacher's language, as it stands within a sentence."""
        return _(_NAMES[self.part])

    @property
    def heading(self) -> str:
        """The same as it stands alone."""
        return self.name[:1].upper() + self.name[1:]

    @property
    def share_words(self) -> str:
        """Its height in percent of the picture's."""
        return _("{n} %", n=f"{self.share * 100:.1f}")

    @property
    def height_words(self) -> str:
        """Its height in whole millimetres; empty where it is not known."""
        return "" if self.height_mm is None else _("{n} mm", n=round(self.height_mm))

    @property
    def seen_words(self) -> str:
        """Its angle in whole arc-minutes, cut and not rounded: 19.9 is under 20 and is not shown as 20."""
        return "" if self.seen is None else f"{floor(self.seen + SLACK)}′"

    @property
    def verdict_words(self) -> str:
        """What the back row can do with it."""
        return "" if self.verdict is None else verdict_words(self.verdict)

    @property
    def note(self) -> str:
        """All of it in one line, as it stands on the card."""
        if self.height_mm is None:
            return self.share_words
        return _("{height}, {seen}: {verdict}").format(
            height=self.height_words, seen=self.seen_words, verdict=self.verdict_words
        )


@dataclass(frozen=True)
class BackRowCard:
    """All that the card shows. ``frame`` is the Wall whose marks it shows; lengths in millimetres."""

    frame: WallFrame
    rows: tuple[SizeRow, ...]
    picture_height_mm: int | None
    back_row_mm: int

    @property
    def head(self) -> str:
        """What the sizes are worked out for, or what is missing for that."""
        if self.picture_height_mm is None:
            return _("Measure the picture's height and type it")
        return _("{metres} m from a picture {cm} cm high").format(
            metres=metres(self.back_row_mm), cm=centimetres(self.picture_height_mm)
        )

    @property
    def foot(self) -> str:
        """In words what the back row can't read of what is on the card."""
        return _summary([row for row in self.rows if row.part in ON_CARD])

    @property
    def verdict(self) -> str:
        """For the teacher: what the back row can't read of the Wall, strip and all, and what would help."""
        sentences = [_summary(self.rows)]
        height = self.picture_height_mm
        if height is not None and not is_enough(height, self.back_row_mm):
            needed = _(
                "Words would have to be {needed} % of the picture, and the Wall goes to {most} %: "
                "make the picture larger or the seats nearer."
            )
            percent = needed_share(height, self.back_row_mm) * 100
            sentences.append(
                needed.format(needed=f"{percent:.1f}", most=f"{self.frame.least_share * 100:.0f}")
            )
        return " ".join(sentences)

    @property
    def other_rules(self) -> str:
        """What two other rules ask of words at this distance, as a second opinion."""
        lowest, highest = ada_range_mm(self.back_row_mm)
        return _(
            "Other rules for words at {metres} m: distance over 200 asks for {half} mm; the 2010 ADA "
            "Standards, made for signs, for {lowest} to {highest} mm by how high they hang.",
            metres=metres(self.back_row_mm),
            half=round(distance_share_mm(self.back_row_mm)),
            lowest=round(lowest),
            highest=round(highest),
        )


def look_of(settings: Settings, screen_height_mm: int | None = None) -> WallLook:
    """How the Wall looks by the settings.

    ``screen_height_mm``: the picture's height as the system reports it, if it can be believed; what the
    teacher typed comes first.
    """
    height = picture_height_mm(settings, screen_height_mm)
    return WallLook(
        settings.wall_digits,
        settings.wall_squares,
        settings.strip_edge,
        least_share(height, settings.back_row_mm),
    )


def picture_height_mm(settings: Settings, screen_height_mm: int | None) -> int | None:
    """The picture's height as it was typed, else as the system reports it; None where neither is there."""
    return screen_height_mm if settings.picture_height_mm is None else settings.picture_height_mm


def sample_frame(look: WallLook, *, strip: bool = False) -> WallFrame:
    """An invented phase of 20 minutes on the Wall; other lengths have other digits and squares."""
    shape: Literal["full", "strip"] = "strip" if strip else "full"
    return WallFrame(
        shape,
        shape,
        title=_("Compare fractions"),
        line=_("Which is nearer to one half?"),
        digits="17:45" if look.digits else None,
        full=17 if look.squares else 0,
        fourths=3 if look.squares else 0,
        whole=20 if look.squares else 0,
        next_title=_("Small groups"),
        edge=look.edge,
        least_share=look.least_share,
    )


def back_row_card(
    shares: Mapping[WallPart, float], look: WallLook, picture_height_mm: int | None, back_row_mm: int
) -> BackRowCard:
    """The card of a Wall whose parts have these heights over the picture's height."""
    rows = tuple(_row(part, share, picture_height_mm, back_row_mm) for part, share in shares.items())
    return BackRowCard(sample_frame(look), rows, picture_height_mm, back_row_mm)


def verdict_words(verdict: Verdict) -> str:
    """A verdict in the teacher's language."""
    return {"too small": _("too small"), "readable": _("readable"), "good": _("good")}[verdict]


def ada_range_mm(back_row_mm: int) -> tuple[float, float]:
    """What the ADA table asks of signs at a distance, for baselines up to 70 and up to 120 inches, in mm."""
    heights = [ada_height_in(baseline, back_row_mm / MM_IN_INCH) for baseline in _BASELINES_IN]
    low, high = (float(height * MM_IN_INCH) for height in heights if height is not None)
    return low, high


def metres(millimetres: int) -> str:
    """A distance in metres, to the decimetre."""
    return f"{millimetres / 1000:.1f}"


def centimetres(millimetres: int) -> str:
    """A height in whole centimetres."""
    return f"{millimetres / 10:.0f}"


def _row(part: WallPart, share: float, picture_mm: int | None, back_row_mm: int) -> SizeRow:
    if picture_mm is None:
        return SizeRow(part, share)
    height = share * picture_mm
    seen = arc_minutes(height, back_row_mm)
    return SizeRow(part, share, height, seen, judge(seen, "mark" if part in _MARKS else "words"))


def _summary(rows: Sequence[SizeRow]) -> str:
    if any(row.verdict is None for row in rows):
        return _("What the back row can read is not known yet.")
    small = _names(rows, "too small")
    if small:
        return _("Too small for the back row: {names}.", names=small)
    fair = _names(rows, "readable")
    if fair:
        return _("Readable, but smaller than is good for the back row: {names}.", names=fair)
    return _("The back row can read all of it well.")


def _names(rows: Sequence[SizeRow], verdict: Verdict) -> str:
    return ", ".join(row.name for row in rows if row.verdict == verdict)
