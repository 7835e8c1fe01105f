"""A small integer program, solved exactly: the one place that speaks to HiGHS.

HiGHS and not CP-SAT, which brings pandas and protobuf, takes 130 MB against 8 and five times as long to load.
Even so it is loaded only when a week is asked for.
"""

from collections.abc import Mapping, Sequence

MOST_NODES = 20_000  # counted, not timed: the same week on a slow machine. Usual weeks need one node.
MOST_STEPS = 2_000_000
_INTEGRAL = 1e-5


class GaveUpError(Exception):
    """The search was longer than it may be; nothing is known."""


class IntegerProgram:
    """Whole numbers from 0 up, and rows that bound sums of them."""

    def __init__(self) -> None:
        self._upper: list[float] = []
        self._rows: list[tuple[Mapping[int, int], float, float]] = []

    def number(self, most: int) -> int:
        """One more unknown from 0 to ``most``; its place."""
        self._upper.append(most)
        return len(self._upper) - 1

    def row(self, factors: Mapping[int, int], least: int | None = None, most: int | None = None) -> None:
        """Bound the sum of some unknowns, each times its factor."""
        inf = float("inf")
        self._rows.append((factors, -inf if least is None else least, inf if most is None else most))

    def least(self, costs: Mapping[int, int]) -> Sequence[int] | None:
        """All unknowns where the sum of ``costs`` is least; None where nothing keeps every row.

        Raises GaveUpError. One thread and one seed: the same program has the same answer.
        """
        import highspy
        import numpy as np

        class Quiet(highspy.Highs):
            """Says nothing, not even its name, which HiGHS prints as callbacks are made ready."""

            def enableCallbacks(self) -> None:  # noqa: N802 - its name there
                self.setOptionValue("output_flag", False)

        solver = Quiet()  # type: ignore[no-untyped-call]
        for name, value in (
            ("threads", 1), ("parallel", "off"), ("random_seed", 0), ("mip_rel_gap", 0.0),
            ("mip_abs_gap", 0.5), ("mip_max_nodes", MOST_NODES), ("simplex_iteration_limit", MOST_STEPS),
        ):  # fmt: skip
            solver.setOptionValue(name, value)
        count = len(self._upper)
        solver.addVars(count, np.zeros(count), np.array(self._upper))
        places = np.arange(count, dtype=np.int32)
        solver.changeColsIntegrality(count, places, np.array([highspy.HighsVarType.kInteger] * count))
        solver.changeColsCost(count, places, np.array([costs.get(at, 0) for at in range(count)], dtype=float))
        starts = np.cumsum([0, *(len(row) for row, _least, _most in self._rows)])[:-1].astype(np.int32)
        where = np.array([at for row, _least, _most in self._rows for at in row], dtype=np.int32)
        factors = np.array(
            [value for row, _least, _most in self._rows for value in row.values()], dtype=float
        )
        lower = np.array([least for _row, least, _most in self._rows])
        upper = np.array([most for _row, _least, most in self._rows])
        solver.addRows(len(self._rows), lower, upper, len(where), starts, where, factors)
        solver.run()
        status = solver.getModelStatus()
        if status == highspy.HighsModelStatus.kInfeasible:
            return None
        if status != highspy.HighsModelStatus.kOptimal:
            raise GaveUpError(solver.modelStatusToString(status))
        values = np.array(solver.getSolution().col_value)
        whole = np.rint(values)
        if np.abs(values - whole).max(initial=0) > _INTEGRAL:
            raise GaveUpError("not whole")
        return [int(value) for value in whole]
