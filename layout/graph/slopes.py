"""Derivatives of every solved value with respect to every given one, block by block
(implicit-function theorem).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from ..quantities import Key, Reading
from .numeric import Outcome, call
from .roots import Array
from .system import EquationSystem


class Slopes:
    """Rows of d value / d given; local derivatives by central differences with a step scaled to the
    value.
    """

    def __init__(
        self,
        s: EquationSystem,
        got: Outcome,
        readings: Mapping[Key, Reading],
        tied: frozenset[str] = frozenset(),
    ) -> None:
        self.s, self.got = s, got
        solved = {
            i
            for b in got.structure.blocks
            for i in (*b.tears, *(s.equations[e].out for e in b.explicit))
        }
        self.givens = [i for i, x in enumerate(got.values) if i not in solved and math.isfinite(x)]
        self.a = np.array([readings[s.keys[i]].half_width for i in self.givens]) / math.sqrt(3.0)
        one: dict[str | Key, int] = {}
        self.source = np.array(
            [
                one.setdefault(k.name if k.name in tied else k, len(one))
                for k in (s.keys[i] for i in self.givens)
            ],
            int,
        )
        self.rows = np.zeros((len(s.keys), len(self.givens)))
        self.rows[self.givens, range(len(self.givens))] = 1.0
        for b in got.structure.blocks:
            if not b.tears:
                for e in b.explicit:
                    self._forward(e)
            else:
                self._implicit(
                    (*b.explicit, *b.residuals),
                    (*(s.equations[e].out for e in b.explicit), *b.tears),
                )

    def partials(self, e: int) -> dict[int, float]:
        """d f / d input of equation ``e``, by number of the input."""
        row = self.s.equations[e]
        args = [self.got.values[i] for i in row.ins]
        found: dict[int, float] = {}
        for n, x in enumerate(args):
            h = 1e-5 * max(abs(x), 0.1)
            up = call(row.f, (*args[:n], x + h, *args[n + 1 :]))
            down = call(row.f, (*args[:n], x - h, *args[n + 1 :]))
            d = (up - down) / (2 * h)
            if d and math.isfinite(d):
                found[row.ins[n]] = found.get(row.ins[n], 0.0) + d
        return found

    def _forward(self, e: int) -> None:
        parts = self.partials(e)
        if parts:
            self.rows[self.s.equations[e].out] = list(parts.values()) @ self.rows[list(parts)]

    def _implicit(self, equations: tuple[int, ...], unknowns: tuple[int, ...]) -> None:
        n = len(unknowns)
        place = {v: c for c, v in enumerate(unknowns)}
        a, b = np.zeros((n, n)), np.zeros((n, self.rows.shape[1]))
        for r, e in enumerate(equations):
            for v, d in (*self.partials(e).items(), (self.s.equations[e].out, -1.0)):
                if v in place:
                    a[r, place[v]] += d
                else:
                    b[r] += d * self.rows[v]
        try:
            self.rows[list(unknowns)] = np.linalg.solve(a, -b)
        except np.linalg.LinAlgError:
            self.rows[list(unknowns)] = np.nan

    def row(self, i: int) -> dict[Key, float]:
        """Slopes of key number ``i`` by given key, zeros left out."""
        return {
            self.s.keys[g]: float(x) for g, x in zip(self.givens, self.rows[i], strict=True) if x
        }

    def u(self, i: int) -> float:
        """Standard uncertainty of key number ``i``."""
        return self.spread(self.rows[i])

    def spread(self, slopes: Array) -> float:
        """Root sum of squares of slopes x u over independent readings; left and right of one
        reading add up first.
        """
        return float(np.sqrt(np.sum(np.bincount(self.source, slopes * self.a, 1) ** 2)))

    def miss(self, e: int) -> Array:
        """Slopes of the miss f(ins) - out of a left-out equation, by given."""
        total: Array = -self.rows[self.s.equations[e].out]
        for v, d in self.partials(e).items():
            total = total + d * self.rows[v]
        return total

    def of_equation(self, e: int) -> dict[Key, float]:
        """The same by given key, zeros left out."""
        return {
            self.s.keys[g]: float(x) for g, x in zip(self.givens, self.miss(e), strict=True) if x
        }
