"""An integer program as it is written down: costs, upper bounds, whole numbers, rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

Terms = list[tuple[int, float]]  # columns, each with its coefficient
INFINITE = float("inf")
NOTHING = Fraction(0)


@dataclass(slots=True)
class Columns:
    """Columns from 0 to their bounds, their costs, and rows over them."""

    cost: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[Terms, float, float]] = field(default_factory=list)

    def add(self, cost: Fraction = NOTHING, *, high: float = 1, whole: bool = True) -> int:
        """Add a column from 0 to `high` and return its place."""
        self.cost.append(float(cost))
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def limit(self, terms: Terms, low: float = -INFINITE, high: float = INFINITE) -> None:
        """Hold the sum of coefficient × column between `low` and `high`."""
        self.rows.append((terms, low, high))

    def charge(self, terms: Iterable[tuple[int, float]], rate: float = 1.0) -> None:
        """Let the terms cost `rate` for each unit of theirs."""
        for column, factor in terms:
            self.cost[column] += factor * rate

    def most(self, terms: Iterable[tuple[int, float]]) -> float:
        """Return what the terms can come to at the most."""
        return sum(max(factor, 0.0) * self.high[column] for column, factor in terms)


@dataclass(frozen=True, slots=True)
class Found:
    """The values of the columns (None: none found), a lower bound, and whether it is settled."""

    values: list[float] | None
    bound: float
    is_done: bool


def best_values(columns: Columns, seconds: float = INFINITE) -> Found:
    """Return the best values of the columns that the solver (HiGHS, through scipy) finds."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    entries = [(r, c, v) for r, (terms, _, _) in enumerate(columns.rows) for c, v in terms]
    rows, cols, data = zip(*entries, strict=True)
    matrix = csr_matrix((data, (rows, cols)), shape=(len(columns.rows), len(columns.cost)))
    limited = {} if seconds == INFINITE else {"time_limit": seconds}
    result = milp(
        np.array(columns.cost),
        integrality=np.array(columns.whole),
        bounds=Bounds(0, np.array(columns.high)),
        constraints=LinearConstraint(
            matrix, [low for _, low, _ in columns.rows], [high for _, _, high in columns.rows]
        ),
        options={"mip_rel_gap": 0.0, "presolve": True, **limited},
    )
    values = None if result.x is None else [float(value) for value in result.x]
    bound = -INFINITE if result.mip_dual_bound is None else float(result.mip_dual_bound)
    return Found(values, bound, result.status in (0, 2))


def together(terms: Iterable[tuple[int, float]]) -> Terms:
    """Return the terms with each column once: a row must not name one twice."""
    summed: dict[int, float] = {}
    for column, factor in terms:
        summed[column] = summed.get(column, 0.0) + factor
    return list(summed.items())
