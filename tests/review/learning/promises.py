"""What odds, budgets and verdicts promise, beside what fourteen kinds of invented teachers found of it.

``python -m tests.review.learning.promises [FIRST COUNT]`` prints a table (line, asked, measured with its
standard error) over so many terms of each kind; 18 of each take three minutes of one processor. Exit code 1
means that a line is missed.
"""

import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

import numpy as np

from pacer.review.learning.backtest import FIRST_LESSON, ScoredBorder, replay
from tests.review.learning.scored_terms import Term, apart, bias, brier
from tests.review.learning.test_backtest_rivals import RIVALS, rival_ends
from tests.review.learning.test_budgets_coverage import enough
from tests.review.learning.unlike_teachers import KINDS, LESSONS, taught
from tests.review.statistics.test_run_chart_false_calls import LESSONS as TERM
from tests.review.statistics.test_run_chart_false_calls import UNCHANGED, share_called

EVERY_THIRD = 3  # lessons next to each other tell much the same
FAMILIES = {
    "regular": ("steady", "stops at the budget"),
    "pace that changes": ("drifts up", "drifts down", "seasonal", "after a break", "at random"),
    "modes and skew": ("two modes", "skewed"),
    "days that differ": ("alike within a day", "odd days early"),
    "steering": ("reacts to Move on", "perfectionist"),
    "cut off": ("fire drills",),
}
LATER = 500_000  # seeds of budgets, on which no choice was made


def term(kind: str, seed: int) -> Term:
    """Every third lesson of a term from the tenth on."""
    endings = taught(kind, seed)
    each = len(endings) // LESSONS
    borders: list[ScoredBorder] = []
    for lesson in range(FIRST_LESSON + seed % EVERY_THIRD, LESSONS + 1, EVERY_THIRD):
        borders += replay(endings[: lesson * each], lesson)
    bare = Term.of(kind, borders)
    ended = np.array([one.forecast.end_s for one in borders]) - bare.off_s
    return replace(bare, rivals_off_s=np.array(list(rival_ends(endings, borders).values())) - ended)


def beside_rivals(terms: Sequence[Term]) -> np.ndarray:
    """The mean absolute error of the end over that of each of ``RIVALS``."""
    ours = np.nanmean(abs(np.concatenate([one.off_s for one in terms])))
    theirs = np.nanmean(abs(np.concatenate([one.rivals_off_s for one in terms], axis=1)), axis=1)
    return np.asarray(ours / theirs)


Row = tuple[str, str, str, bool]


def rows(terms: Sequence[Term], histories: int) -> list[Row]:
    """What was asked, what was measured, and whether it is kept."""
    found: list[Row] = []
    for tenth in range(10):
        more, error, count = apart(terms, tenth / 10, 2.0 if tenth == 9 else (tenth + 1) / 10)
        if count > 300:
            found.append(
                (f"came less said, {tenth} of 10", "±.03", f"{more:+.3f} ± {error:.3f}", abs(more) <= 0.03)
            )
    score, error, base = brier(terms)
    found.append(("Brier score", "≤ .132", f"{score:.4f} ± {error:.4f} (base {base:.3f})", score <= 0.132))
    for kind in KINDS:
        score, error, base = brier([one for one in terms if one.kind == kind])
        found.append((f"  {kind}", f"< {base:.3f}", f"{score:.3f} ± {error:.3f}", score < max(base, 0.01)))
    early, error = bias(terms)
    found.append(("end foretold late by", "±15 s", f"{early:+.0f} ± {error:.0f} s", abs(early) <= 15))
    ratios = np.array([
        beside_rivals([one for one in terms if one.kind in kinds]) for kinds in FAMILIES.values()
    ])  # fmt: skip
    for name, column in zip(RIVALS, ratios.T, strict=True):
        kept = sum(column < 1) >= 4 and max(column) <= 1.03
        words = " ".join(f"{ratio:.3f}" for ratio in column)
        found.append((f"error over that of the {name}", "4 of 6 < 1, all ≤ 1.03", words, bool(kept)))
    for truth in (0.65, 0.8, 1.0, 1.25, 1.5):
        for lessons in (8, 15, 30):
            shares = [enough(truth, lessons, LATER + seed) for seed in range(histories)]
            share, error = float(np.mean(shares)), float(np.std(shares) / len(shares) ** 0.5)
            words = f"{share:.3f} ± {error:.3f}"
            found.append(
                (f"budget, {truth} x, {lessons} lessons", ".65 to .75", words, 0.65 <= share <= 0.75)
            )
    for name, drawn in UNCHANGED.items():
        share = share_called(drawn(np.random.default_rng(LATER), (1000, TERM)))
        words = f"{share:.3f} ± {(share * (1 - share) / 1000) ** 0.5:.3f}"
        found.append((f"false calls, {name}", "≤ .05", words, share <= 0.05))
    return found


def main(seeds: range) -> int:
    """Print the table."""
    jobs = [(kind, seed) for seed in seeds for kind in KINDS]
    with ProcessPoolExecutor() as pool:
        terms = list(pool.map(term, *zip(*jobs, strict=True)))
    table = rows(terms, 150)
    for line, asked, measured, kept in table:
        print(f"{line:<36} {asked:<24} {measured}{'' if kept else '   MISSED'}")
    return 0 if all(kept for *_words, kept in table) else 1


if __name__ == "__main__":
    first, count = (int(word) for word in sys.argv[1:3]) if len(sys.argv) > 2 else (1000, 2)
    sys.exit(main(range(first, first + count)))
