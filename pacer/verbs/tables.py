"""Plain-text tables of records and moments for the terminal."""

from collections.abc import Sequence

from pacer.frames.record import Record, marks_words
from pacer.frames.words.record_half import leg_cells
from pacer.frames.words.wording import ending_words, over_words, signed, took_words
from pacer.pace.move_by import MoveByReason
from pacer.plan.durations import format_duration
from pacer.text import _
from pacer.verbs.replay import Moment
from pacer.verbs.script import LOOK


def table(rows: Sequence[Sequence[str]], right: Sequence[int] = ()) -> list[str]:
    """Rows in aligned columns; the columns named in ``right`` are aligned right."""
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    return ["  ".join(_aligned(row, widths, right)).rstrip() for row in rows]


def _aligned(row: Sequence[str], widths: Sequence[int], right: Sequence[int]) -> list[str]:
    cells = zip(row, widths, strict=True)
    return [cell.rjust(w) if i in right else cell.ljust(w) for i, (cell, w) in enumerate(cells)]


def record_lines(lesson: Record) -> list[str]:
    """Planned over actual, phase by phase, with endings and a sum."""
    rows = [(_("phase"), _("planned"), _("actual"), _("over"), _("ending"))]
    for row in lesson.phases:
        took = took_words(row.actual, cut_off=row.cut_off, reached=row.visits > 0)
        rows.append(
            (row.title, format_duration(row.planned), took, over_words(row.over), ending_words(row.ending))
        )
    over = over_words(lesson.actual - lesson.planned)
    rows.append((_("all phases"), format_duration(lesson.planned), format_duration(lesson.actual), over, ""))
    head = _("{title} · {date} · planned {planned}, started {start}").format(
        title=lesson.title, date=lesson.date, planned=lesson.planned_start, start=lesson.start
    )
    marks = marks_words(lesson)
    phases = table(rows, right=(1, 2, 3))
    return [head, *([marks] if marks else []), "", *phases, *_visit_lines(lesson), *_left_lines(lesson)]


def _visit_lines(lesson: Record) -> list[str]:
    """The second half, where it was run."""
    if not lesson.visits:
        return []
    rows = [(_("second half"), _("planned"), _("actual"), _("over"), _("ending"))]
    rows += [leg_cells(row) for row in lesson.visits]
    return ["", *table(rows, right=(1, 2, 3))]


def _left_lines(lesson: Record) -> list[str]:
    """The table list, and what was not taught as far as anybody said where it went."""
    rows = [(row.what, row.where) for row in lesson.left if row.where]
    return ["", *table([(_("table list and not taught"), _("where it went")), *rows])] if rows else []


def _reason_words(reason: MoveByReason | None) -> str:
    return {None: "", "fair": _("fair"), "hard": _("hard"), "cap": _("cap")}[reason]


def _until_words(moment: Moment) -> str:
    """By when to move on; in the second half the latest swap, or when a leg that is no visit is over."""
    desk = moment.desk
    if desk.visit is None:
        return _("move by {time} ({reason})", time=desk.move_by, reason=_reason_words(desk.move_by_reason))
    if desk.visit["leg"] == "visit":
        if not desk.visit["visits"]:
            return _("share from {time}", time=desk.move_by)
        return _("latest swap {time}, share {share}", time=desk.move_by, share=desk.visit["share_start"])
    if desk.visit["leg"] in ("share", "clean-up"):
        return _("until {time}", time=desk.move_by)
    return _("until {time}, share {share}", time=desk.move_by, share=desk.visit["share_start"])


def moment_line(moment: Moment) -> str:
    """One moment of a replay on a line."""
    desk, wall = moment.desk, moment.wall
    parts = [
        format_duration(moment.at_s).rjust(6),
        (moment.event or (_("refused") if moment.refused else LOOK)).ljust(12),
        desk.word.ljust(10),
        (f"{desk.phase_title} {signed(desk.left_s)}" if desk.move_by else desk.phase_title).ljust(28),
    ]
    if desk.move_by:
        parts.append(_until_words(moment))
    if wall.digits is not None:
        parts.append(_("Wall {digits}", digits=wall.note or wall.digits))
    if moment.refused:
        parts.append(moment.refused)
    return "  ".join(parts).rstrip()
