"""How good the forecasts would have been: stored days replayed in order, each seen only from earlier ones."""

from collections.abc import Sequence
from dataclasses import dataclass

from pacer.pace.forecasts.forecast import Forecast, forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.past import PastEnding, by_lesson, mini_lesson

FIRST_LESSON = 10
TENTHS = 10
LEAST_KNOWN_OF = 5  # of so many borders at most one may be unknown


@dataclass(frozen=True)
class ScoredBorder:
    """What was forecast at one phase border, and what came. Times in seconds from there to the end.

    ``came_s`` is None where something cut a later phase off: then nobody knows when it would have ended, but
    not before ``least_s``, which is what was seen until then.
    """

    run: int
    date: str
    index: int
    forecast: Forecast
    plan_s: float
    mean_s: float
    left_s: float
    came_s: float | None
    least_s: float

    @property
    def was_in_time(self) -> bool | None:
        """Whether groups could start on time; None where it is not known: cut off before it was late."""
        if self.came_s is None:
            return False if self.least_s > self.left_s else None
        return self.came_s <= self.left_s


@dataclass(frozen=True)
class Tenth:
    """One row of the calibration table: forecasts from ``low`` up to a tenth more.

    ``came_true`` to ``at_most`` is the share that came true; they differ where some of the ``count`` are
    not known.
    """

    low: float
    count: int
    mean: float
    came_true: float
    at_most: float


@dataclass(frozen=True)
class Scores:
    """Of one way to forecast: Brier score, and mean absolute error of the predicted end in seconds.

    ``brier`` is over the borders whose outcome is known; over all it lies from ``least_brier`` to
    ``most_brier``, whatever came of the others. ``error_s`` is over those whose end was seen, and None
    without any.
    """

    brier: float
    least_brier: float
    most_brier: float
    error_s: float | None


@dataclass(frozen=True)
class Backtest:
    """How forecasts fared beside the written plan and the plain mean of past durations.

    ``scored`` counts the borders, out of all, of which it is known whether groups could start on time. Where
    more than a fifth are not, there is no verdict: what was cut off may be just what was foretold badly.
    """

    lessons: int
    borders: int
    scored: int
    is_enough: bool
    pacer: Scores | None
    written_plan: Scores | None
    plain_mean: Scores | None
    calibration: tuple[Tenth, ...]


def replay(endings: Sequence[PastEnding], first: int = FIRST_LESSON) -> list[ScoredBorder]:
    """All forecasts from lesson ``first`` on, counted from 1, at the start and at every phase border.

    ``endings`` stand in order of time, a lesson's together. A forecast at a border sees the lessons before
    and the phases of that day before it, never anything later.
    """
    borders: list[ScoredBorder] = []
    begin, number = 0, 0
    sums: dict[str, tuple[float, int]] = {}
    for whole in by_lesson(endings):
        lesson, number = mini_lesson(whole), number + 1
        if lesson and number >= first and all(past.planned_s > 0 for past in lesson):
            means = {phase: total / count for phase, (total, count) in sums.items()}
            borders += _borders(endings[:begin], lesson, means)
        begin += len(whole)
        for past in lesson:
            if past.ending != "skipped" and past.is_sound:
                total, count = sums.get(past.phase, (0.0, 0))
                sums[past.phase] = (total + past.actual_s, count + 1)
    return borders


def _borders(
    earlier: Sequence[PastEnding], lesson: Sequence[PastEnding], means: dict[str, float]
) -> list[ScoredBorder]:
    """The forecasts of one day; ``means`` are the plain means of past durations by phase, in seconds."""
    learned = learn(earlier, [Planned(past.phase, past.kind, past.planned_s) for past in lesson])
    left_s = sum(past.planned_s for past in lesson) - lesson[0].late_s
    borders = []
    for index, past in enumerate(lesson):
        foreseen = forecast(learned, index, 0.0, left_s, lesson[:index])
        # No phase that is left out begins, so nothing is shown there.
        if foreseen is not None and past.ending != "skipped":
            rest = lesson[index:]
            seen = next((at for at, later in enumerate(rest) if later.is_cut_off), len(rest))
            borders.append(
                ScoredBorder(
                    run=past.run,
                    date=past.date,
                    index=index,
                    forecast=foreseen,
                    plan_s=sum(later.planned_s for later in rest),
                    mean_s=sum(means.get(later.phase, later.planned_s) for later in rest),
                    left_s=left_s,
                    came_s=sum(map(_spent_s, rest)) if seen == len(rest) else None,
                    least_s=sum(map(_spent_s, rest[: seen + 1])),
                )
            )
        left_s -= _spent_s(past)
    return borders


def _spent_s(past: PastEnding) -> float:
    return 0.0 if past.ending == "skipped" else past.actual_s


def backtest(endings: Sequence[PastEnding], first: int = FIRST_LESSON) -> Backtest:
    """Replay the past and score it; scores are None where nothing could be scored."""
    return score(replay(endings, first))


def score(borders: Sequence[ScoredBorder]) -> Backtest:
    """Score forecasts that were made at borders, of one history or of several."""
    lessons = len({(border.run, border.date) for border in borders})
    scored = sum(border.was_in_time is not None for border in borders)
    is_enough = (len(borders) - scored) * LEAST_KNOWN_OF <= len(borders)
    every = len(borders)
    borders = borders if is_enough else ()
    return Backtest(
        lessons=lessons,
        borders=every,
        scored=scored,
        is_enough=is_enough,
        pacer=_scores(
            borders, [b.forecast.odds.likely for b in borders], [b.forecast.end_s for b in borders]
        ),
        written_plan=_scores(
            borders, [float(b.plan_s <= b.left_s) for b in borders], [b.plan_s for b in borders]
        ),
        plain_mean=_scores(
            borders, [float(b.mean_s <= b.left_s) for b in borders], [b.mean_s for b in borders]
        ),
        calibration=_calibration(borders),
    )


def _scores(
    borders: Sequence[ScoredBorder], chances: Sequence[float], ends_s: Sequence[float]
) -> Scores | None:
    pairs = [(chance, border.was_in_time) for border, chance in zip(borders, chances, strict=True)]
    known = [(chance - came) ** 2 for chance, came in pairs if came is not None]
    unknown = [sorted((chance**2, (1 - chance) ** 2)) for chance, came in pairs if came is None]
    errors = [
        abs(end - border.came_s)
        for border, end in zip(borders, ends_s, strict=True)
        if border.came_s is not None
    ]
    if not known:
        return None
    return Scores(
        brier=sum(known) / len(known),
        least_brier=(sum(known) + sum(least for least, _most in unknown)) / len(pairs),
        most_brier=(sum(known) + sum(most for _least, most in unknown)) / len(pairs),
        error_s=sum(errors) / len(errors) if errors else None,
    )


def _calibration(borders: Sequence[ScoredBorder]) -> tuple[Tenth, ...]:
    rows: list[list[tuple[float, bool | None]]] = [[] for _tenth in range(TENTHS)]
    for border in borders:
        chance = border.forecast.odds.likely
        rows[min(TENTHS - 1, int(chance * TENTHS))].append((chance, border.was_in_time))
    return tuple(
        Tenth(
            number / TENTHS,
            len(row),
            sum(chance for chance, _came in row) / len(row),
            sum(came is True for _chance, came in row) / len(row),
            sum(came is not False for _chance, came in row) / len(row),
        )
        for number, row in enumerate(rows)
        if row
    )
