"""Why the groups started when they did, who gave what to whom, and how forecasts came true, by name."""

from dataclasses import dataclass

from pacer.frames.words.kinds import cause_words
from pacer.frames.words.wording import over_words, signed_change
from pacer.pace import lateness, ledger
from pacer.pace.trim import whole_seconds
from pacer.run.state import LessonState
from pacer.text import _

NAMED_CAUSES = 4


@dataclass(frozen=True)
class Share:
    """Seconds by name: a phase's id, or what else took or gave time."""

    name: str
    seconds: int


@dataclass(frozen=True)
class Foretold:
    """A forecast made at a phase border, and what came true.

    ``low`` to ``high`` is the chance that the mini lesson ends in time; ``end_s`` when it was expected to
    end, ``ended_s`` when it did (None: cut off, or not over), in seconds from the start.
    """

    phase: str
    low: float
    high: float
    lessons: int
    end_s: int
    ended_s: int | None
    in_time: bool | None


def causes(state: LessonState) -> tuple[Share, ...]:
    """The lateness of the groups by cause, adding up to the second; empty until they have started."""
    late = lateness.lateness(state)
    return () if late is None else tuple(Share(_name(state, p.cause), p.seconds) for p in late.parts)


def gave(state: LessonState) -> tuple[Share, ...]:
    """What each account of the mini lesson got or, negative, gave, in whole seconds that add up to zero."""
    totals = ledger.totals(ledger.ledger(state))
    seconds = whole_seconds(list(totals.values()))
    pairs = zip(totals, seconds, strict=True)
    return tuple(Share(_name(state, account), s) for account, s in pairs if s)


def foretold(state: LessonState) -> tuple[Foretold, ...]:
    """The forecasts of a lesson beside what came."""
    in_time = lateness.groups_in_time(state)
    ends = [v.end_ms for v in state.visits if v.index < state.plan.mini_count and v.end_ms is not None]
    ended_ms = max(ends) if in_time is not None and lateness.group_start_ms(state) is not None else None
    return tuple(
        Foretold(
            phase=state.plan.phases[forecast.index].id,
            low=round(forecast.low, 3),
            high=round(forecast.high, 3),
            lessons=forecast.lessons,
            end_s=forecast.end_ms // 1000,
            ended_s=None if ended_ms is None else ended_ms // 1000,
            in_time=in_time,
        )
        for forecast in state.forecasts
        if forecast.index < len(state.plan.phases)
    )


def _name(state: LessonState, account: int | str) -> str:
    return state.plan.phases[account].id if isinstance(account, int) else account


def causes_words(shares: tuple[Share, ...], titles: dict[str, str]) -> str:
    """Why the groups started late or early, the largest causes first; empty when they were on time."""
    whole = sum(share.seconds for share in shares)
    if not shares or abs(whole) < 1:
        return ""
    largest = sorted(shares, key=lambda share: -abs(share.seconds))[:NAMED_CAUSES]
    words = [
        f"{titles.get(s.name) or cause_words(f':{s.name}') or s.name} {signed_change(s.seconds)}"
        for s in largest
    ]
    if len(shares) > NAMED_CAUSES:
        words.append(_("others {time}", time=signed_change(whole - sum(s.seconds for s in largest))))
    return _("Groups against the plan {time}: {causes}", time=over_words(whole), causes=", ".join(words))
