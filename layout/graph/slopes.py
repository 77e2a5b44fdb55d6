"""Derivatives of every solved value with respect to every given one, block by block
(implicit-function theorem).
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from ..arrays import Array
from ..quantities import Key, Reading
from .numeric import Outcome, call
from .system import EquationSystem


class Slopes:
    """Rows of d value / d given; local derivatives by central differences with a step scaled to the
    value.
    """

    def __init__(
        self,
        system: EquationSystem,
        got: Outcome,
        readings: Mapping[Key, Reading],
        tied: frozenset[str] = frozenset(),
    ) -> None:
        self.system, self.got = system, got
        solved = {
            number
            for block in got.structure.blocks
            for number in (
                *block.tears,
                *(system.equations[equation].out for equation in block.explicit),
            )
        }
        self.givens = [
            number
            for number, x in enumerate(got.values)
            if number not in solved and math.isfinite(x)
        ]
        self.widths = np.array(
            [readings[system.keys[number]].half_width for number in self.givens]
        ) / math.sqrt(3.0)
        one: dict[str | Key, int] = {}
        self.source = np.array(
            [
                one.setdefault(key.name if key.name in tied else key, len(one))
                for key in (system.keys[number] for number in self.givens)
            ],
            int,
        )
        self.rows = np.zeros((len(system.keys), len(self.givens)))
        self.rows[self.givens, range(len(self.givens))] = 1.0
        for block in got.structure.blocks:
            if not block.tears:
                for equation in block.explicit:
                    self._forward(equation)
            else:
                self._implicit(
                    (*block.explicit, *block.residuals),
                    (
                        *(system.equations[equation].out for equation in block.explicit),
                        *block.tears,
                    ),
                )

    def partials(self, equation: int) -> dict[int, float]:
        """d f / d input of equation ``equation``, by number of the input; zeros left out.

        Central differences, internal units; an input named twice is summed.
        """
        row = self.system.equations[equation]
        args = [self.got.values[place] for place in row.ins]
        found: dict[int, float] = {}
        for number, x in enumerate(args):
            step = 1e-5 * max(abs(x), 0.1)
            above = call(row.f, (*args[:number], x + step, *args[number + 1 :]))
            below = call(row.f, (*args[:number], x - step, *args[number + 1 :]))
            slope = (above - below) / (2 * step)
            if slope and math.isfinite(slope):
                found[row.ins[number]] = found.get(row.ins[number], 0.0) + slope
        return found

    def _forward(self, equation: int) -> None:
        parts = self.partials(equation)
        if parts:
            self.rows[self.system.equations[equation].out] = (
                list(parts.values()) @ self.rows[list(parts)]
            )

    def _implicit(self, equations: tuple[int, ...], unknowns: tuple[int, ...]) -> None:
        size = len(unknowns)
        place = {unknown: column for column, unknown in enumerate(unknowns)}
        left, right = np.zeros((size, size)), np.zeros((size, self.rows.shape[1]))
        for number, equation in enumerate(equations):
            for unknown, slope in (
                *self.partials(equation).items(),
                (self.system.equations[equation].out, -1.0),
            ):
                if unknown in place:
                    left[number, place[unknown]] += slope
                else:
                    right[number] += slope * self.rows[unknown]
        try:
            self.rows[list(unknowns)] = np.linalg.solve(left, -right)
        except np.linalg.LinAlgError:
            self.rows[list(unknowns)] = np.nan

    def row(self, number: int) -> dict[Key, float]:
        """Slopes d value / d given of key number ``number`` by given key, zeros left out.

        Internal units of the one over those of the other; NaN where its block is singular.
        """
        return {
            self.system.keys[given]: float(x)
            for given, x in zip(self.givens, self.rows[number], strict=True)
            if x
        }

    def u(self, number: int) -> float:
        """Standard uncertainty of key number ``number``, internal units (see ``spread``)."""
        return self.spread(self.rows[number])

    def spread(self, slopes: Array) -> float:
        """Root sum of squares of slopes x u over independent readings; left and right of one
        reading add up first.
        """
        return float(np.sqrt(np.sum(np.bincount(self.source, slopes * self.widths, 1) ** 2)))

    def miss(self, equation: int) -> Array:
        """Slopes of the miss f(ins) - out of a left-out equation, one for each of ``givens``.

        (G,), in the order of ``givens``; the equation's number is that of its system.
        """
        total: Array = -self.rows[self.system.equations[equation].out]
        for unknown, slope in self.partials(equation).items():
            total = total + slope * self.rows[unknown]
        return total

    def of_equation(self, equation: int) -> dict[Key, float]:
        """Slopes of the miss of a left-out equation by given key, zeros left out.

        As ``miss``, with the keys' names.
        """
        return {
            self.system.keys[given]: float(x)
            for given, x in zip(self.givens, self.miss(equation), strict=True)
            if x
        }
