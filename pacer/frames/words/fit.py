"""The fit of a plan as it is shown: pieces of the block to scale, one verdict and plain notices."""

from dataclasses import dataclass
from typing import Literal

from pacer.frames.words.wording import lessons_words
from pacer.plan.durations import brief_duration, format_duration
from pacer.plan.findings import findings
from pacer.plan.fit import LONG_MINI_S, Fit
from pacer.plan.outline import Outline
from pacer.plan.rules import ProblemPace, review_fit
from pacer.text import _, ngettext

PieceKind = Literal["phases", "spare", "moves", "groups", "share", "clean_up"]


@dataclass(frozen=True)
class FitPiece:
    """A piece of the block in seconds, drawn to scale."""

    kind: PieceKind
    seconds: int
    words: str


@dataclass(frozen=True)
class FitFrame:
    """All that the fit bar shows.

    ``block_s`` is the whole block; ``floors_s`` and ``third_s`` are marks on the mini lesson's piece: the sum
    of its floors, and the longest that leaves the groups twice its time.
    """

    block_s: int
    pieces: tuple[FitPiece, ...]
    floors_s: int
    third_s: int
    verdict: str
    details: tuple[str, ...]
    notices: tuple[str, ...]


def fit_frame(outline: Outline, fit: Fit, pace: ProblemPace | None = None) -> FitFrame:
    """The fit of an outline. ``pace`` is how long this class takes for one review problem.

    Bar, words and check say the same parts of the block: ``pacer.plan.fit.parts_of``.
    """
    return FitFrame(
        block_s=fit.block_s,
        pieces=_pieces(fit),
        floors_s=min(fit.floors_s, fit.block_s),
        third_s=fit.honest_s,
        verdict=_verdict(fit),
        details=(*_details(outline, fit), *_problem_words(outline, fit, pace, too_many=False)),
        notices=_notices(outline, fit, pace),
    )


def _pieces(fit: Fit) -> tuple[FitPiece, ...]:
    """From the left: phases, spare, moves, groups, share, clean-up; the bell cuts off what is too much."""
    parts = fit.parts
    phases = _("phases {n}") if fit.spare_s >= 0 else _("phases, cut to {n}")
    wanted: list[tuple[PieceKind, int, str]] = [
        ("phases", parts.phases_s, phases),
        ("spare", parts.spare_s, _("spare {n}")),
        ("moves", parts.move_s + parts.swaps_s, _("transitions {n}")),
        ("groups", parts.groups_s, _("groups {n}")),
        ("share", parts.share_s, _("share {n}")),
        ("clean_up", parts.clean_up_s, _("clean-up {n}")),
        ("spare", parts.free_s, _("free {n}")),
    ]
    pieces, left = [], fit.block_s
    for kind, seconds, words in wanted:
        drawn_s = min(seconds, left)
        if drawn_s > 0:
            pieces.append(FitPiece(kind, drawn_s, words.format(n=brief_duration(seconds))))
            left -= drawn_s
    return tuple(pieces)


def _verdict(fit: Fit) -> str:
    """Does it fit, in one line, and who pays for it."""
    length = format_duration(fit.length_s)
    if not fit.length_s:
        return _("No phase belongs to the mini lesson.")
    if fit.length_s > fit.room_s:
        return _("{length} is {over} longer than the block has room for.").format(
            length=length, over=format_duration(fit.length_s - fit.room_s)
        )
    if fit.floors_s > fit.length_s:
        over = format_duration(fit.floors_s - fit.length_s)
        return _(
            "Even the floors are {over} too long for {length}: a phase must leave.", over=over, length=length
        )
    if fit.spare_s < 0:
        return _("{over} too long for {length}: budgets will be cut.").format(
            over=format_duration(-fit.spare_s), length=length
        )
    if fit.spare_s == 0 and fit.length_s > max(fit.honest_s, LONG_MINI_S):
        # Nothing was written to hold the sum of the budgets against, or it was written to fit them.
        over = format_duration(fit.length_s - fit.honest_s)
        return _("{length} planned, and {over} of it is taken from the groups.", length=length, over=over)
    paid_s = fit.length_s - fit.honest_s if fit.parts.visits else 0
    if paid_s > 0:
        words = _("Fits {length} exactly, and takes {paid} from the groups.")
        if fit.spare_s:
            words = _("Fits {length} with {spare} to spare, and takes {paid} from the groups.")
    else:
        words = _("Fits {length} exactly.")
        if fit.spare_s:
            words = _("Fits {length} with {spare} to spare.")
    return words.format(
        length=length, spare=format_duration(fit.spare_s), paid=format_duration(max(0, paid_s))
    )


def _details(outline: Outline, fit: Fit) -> tuple[str, ...]:
    """Sums, what the groups get, the review cap and the longest talk."""
    lines = [
        _("Budgets {budgets}, floors {floors}").format(
            budgets=format_duration(fit.budgets_s), floors=format_duration(fit.floors_s)
        )
    ]
    if outline.has_second_half:
        lines.append(_sum_words(outline, fit))
    if fit.parts.visits:
        words = _("Groups get {ratio:.2f} times the mini lesson; one of {third} leaves them twice its time")
        third = format_duration(fit.honest_s)
        lines.append(words.format(ratio=float(fit.parts.ratio), third=third))
    if fit.review_cap_s is not None:
        words = _("Warm-up and review {planned} of {cap}")
        lines.append(
            words.format(planned=format_duration(fit.review_s), cap=format_duration(fit.review_cap_s))
        )
    if fit.stretch.seconds:
        titles = ", ".join(outline.phases[index].title for index in fit.stretch.phases)
        words = _("Longest talk of yours {length}: {titles}")
        lines.append(words.format(length=format_duration(fit.stretch.seconds), titles=titles))
    return tuple(lines)


def _sum_words(outline: Outline, fit: Fit) -> str:
    """The parts of the whole block, as they add up; visits are timed as at the table, down to 15 s."""
    block, parts = outline.block, fit.parts
    shown = [
        (1, outline.mini_lesson_s, _("mini lesson {each}")),
        (1, parts.move_s, _("transition {each}")),
        (parts.visits, parts.visit_s, ngettext("visit {each}", "{n} visits of {each}", parts.visits)),
        (parts.visits - 1, block.swap_s, ngettext("swap {each}", "{n} swaps of {each}", parts.visits - 1)),
        (1, parts.share_s, _("share {each}")),
        (1, parts.clean_up_s, _("clean-up {each}")),
    ]
    words = " + ".join(
        said.format(n=count, each=format_duration(seconds)) for count, seconds, said in shown if count
    )
    return _("{parts} = {total} of {block}").format(
        parts=words, total=format_duration(parts.total_s), block=format_duration(fit.block_s)
    )


def _notices(outline: Outline, fit: Fit, pace: ProblemPace | None) -> tuple[str, ...]:
    """What can't be, and what is outside what is usual, less what the verdict says already."""
    told = _told_by_verdict(outline, fit)
    lines = [
        one.what if not one.impossible else one.words for one in findings(outline) if one.rule not in told
    ]
    return (*lines, *_problem_words(outline, fit, pace, too_many=True))


def _told_by_verdict(outline: Outline, fit: Fit) -> tuple[str, ...]:
    """The names of the findings that stand in the verdict, in other words."""
    if not fit.length_s:
        return ()
    if fit.length_s > fit.room_s:
        over_all = "" if outline.phases[outline.mini_count :] else "over_block"
        return ("mini_over_block" if fit.length_s > fit.block_s else over_all,)
    if fit.floors_s > fit.length_s:
        return ("floors_over_mini",)
    return ("budgets_over_mini",) if fit.spare_s < 0 else ("groups_pay",)


def _problem_words(outline: Outline, fit: Fit, pace: ProblemPace | None, *, too_many: bool) -> list[str]:
    """Of review problems that are ``too_many`` at this class's own pace that, else how many would fit.

    They fit under the cap and in their phases' budgets. Nothing where none are planned or nobody knows how
    long one takes.
    """
    mini = outline.phases[: outline.mini_count]
    reviews = [phase for phase in mini if phase.kind == "review"]
    planned = sum(phase.examples for phase in reviews)
    if pace is None or not planned:
        return []
    room_s = sum(phase.budget_s for phase in reviews)
    fits = review_fit(room_s, 0, pace.seconds)
    if fit.review_cap_s is not None:
        warm_up_s = sum(phase.budget_s for phase in mini if phase.kind == "warm-up")
        fits = review_fit(min(fit.review_cap_s, warm_up_s + room_s), warm_up_s, pace.seconds)
    if (planned > fits) != too_many:
        return []
    each = format_duration(pace.seconds)
    by = _("{each} each, as you typed", each=each)
    if pace.lessons:
        by = _("about {each} each, by {lessons}", each=each, lessons=lessons_words(pace.lessons))
    words = _("Review problems {planned}, and {fits} would fit ({pace})")
    if too_many:
        words = _("{planned} review problems are planned, and {fits} fit ({pace}).")
    return [words.format(planned=planned, fits=fits, pace=by)]
