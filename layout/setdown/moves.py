"""What can be moved on a tacked truck, and which moves cure it: as few as bring every reading
within its limit, and of those the smallest.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import combinations
from typing import NamedTuple

import numpy as np

from ..arrays import Array
from .truck import IN, SetdownTruck

Moved = list[tuple["Move", float]]
"""Moves and by how much each, mm."""
WORTH, SHARE = 1.0, 0.1
"""A further move must cure as much as one reading off by its aim, and this share of what is left
(judgment, no source).
"""


class Move(NamedTuple):
    """Something a person can move: the step it is made in, what it is called, how far at most;
    ``usual``: as much as is done without a second thought, mm.
    """

    name: str
    step: float
    says: str
    unit: str
    most: float
    usual: float


def moves(truck: SetdownTruck) -> tuple[Move, ...]:
    """Everything a person can move.

    Both arms alike keep the bushings free; one alone winds them up, so less of it is usual.
    """
    sides = (("L", "left", 1.0), ("R", "right", 1.0), ("both", "both", 3.0))
    arm, upper = truck.threads
    seats = (
        Move(f"seat.{side}", IN / 16, f"{word} upper coil seat", "in", 2 * IN, IN)
        for side, word, _ in sides[:2]
    )
    uppers = (
        Move(
            f"upper.{side}",
            upper / 4,
            f"{word} upper arm{'s' if side == 'both' else ''}",
            "turn",
            0.5 * IN,
            more * upper / 3,
        )
        for side, word, more in sides
    )
    arms = (
        Move(
            f"arm.{side}",
            arm / 4,
            f"{word} radius arm{'s' if side == 'both' else ''}",
            "turn",
            0.75 * IN,
            2 * more * arm,
        )
        for side, word, more in sides
    )
    bar = Move("bar.z", IN / 16, "track bar's frame bracket", "in", 1.5 * IN, IN)
    return (*seats, *uppers, *arms, bar)


class MoveEffects:
    """What is off, and what each move does to it; every amount in the aims of its reading.

    ``effect``: move -> reading -> change a mm; ``errors``: reading -> how far off; ``aim``: reading
    -> what counts as much as what; ``limit``: reading -> how far off it may stay.
    """

    def __init__(
        self,
        can: Sequence[Move],
        effect: Mapping[str, Mapping[str, float]],
        errors: Mapping[str, float],
        aim: Mapping[str, float],
        limit: Mapping[str, float],
    ) -> None:
        self.can = can
        weight = {name: 1 / aim[name] for name in errors}
        self.off = np.array([errors[name] * share for name, share in weight.items()])
        self.columns = {
            move.name: np.array([effect[move.name][name] * share for name, share in weight.items()])
            for move in can
        }
        self.share = np.array([aim[name] / limit[name] for name in errors])

    def fewest(self, within: Callable[[Moved], bool], most: int) -> Moved | None:
        """The fewest moves after which ``within`` holds, of those the best fit with the least
        effort; None where ``most`` moves do not do it.
        """
        for count in range(1, most + 1):
            good: list[tuple[float, Moved]] = []
            for picked in combinations(self.can, count):
                for amounts in (self._fit(picked), self._level(picked)):
                    said = self._said(picked, amounts)
                    if len(said) <= count and within(said):
                        good.append((self._cost(picked, amounts), said))
                        break
            if good:
                return min(good, key=lambda row: row[0])[1]
        return None

    def one_by_one(self, most: int) -> Moved:
        """Forward selection: each time the move whose addition, all amounts fitted again, leaves
        least; stops when it cures too little to be worth cutting loose.
        """
        picked: tuple[Move, ...] = ()
        amounts: list[float] = []
        cost = float(self.off @ self.off)
        while len(picked) < most:
            rest = [move for move in self.can if move not in picked]
            best = min(
                ((*self._tried((*picked, move)), number) for number, move in enumerate(rest)),
                key=lambda row: (row[0], row[2]),
            )
            if cost - best[0] < max(WORTH, SHARE * cost):
                break
            cost, amounts, picked = best[0], best[1], (*picked, rest[best[2]])
        return self._said(picked, amounts)

    def _tried(self, picked: Sequence[Move]) -> tuple[float, list[float]]:
        """What some moves cost at their best, and by how much each is moved."""
        amounts = self._fit(picked)
        return self._cost(picked, amounts), amounts

    def _cost(self, picked: Sequence[Move], amounts: Sequence[float]) -> float:
        """Squares of what moves leave, and of their effort."""
        pairs = list(zip(picked, amounts, strict=True))
        left = self.off + sum(self.columns[move.name] * amount for move, amount in pairs)
        return float(left @ left) + sum((amount / move.usual) ** 2 for move, amount in pairs)

    def _level(self, picked: Sequence[Move]) -> list[float]:
        """Amounts that leave the least share of its limit anywhere (linear program), in steps."""
        from scipy.optimize import linprog

        effects = np.stack([self.columns[move.name] * self.share for move in picked], axis=1)
        off = self.off * self.share
        worst = np.full((len(off), 1), -1.0)
        got = linprog(
            [*np.zeros(len(picked)), 1.0],
            A_ub=np.block([[effects, worst], [-effects, worst]]),
            b_ub=np.concatenate((-off, off)),
            bounds=[*((-move.most, move.most) for move in picked), (0, None)],
        )
        if not got.success:
            return [0.0] * len(picked)
        return [
            round(float(amount) / move.step) * move.step
            for amount, move in zip(got.x, picked, strict=False)
        ]

    def _fit(self, picked: Sequence[Move]) -> list[float]:
        """Amounts by least squares of what is left and of the effort, rounded to steps one by one,
        the rest fitted again after each.
        """
        amounts: dict[str, float] = {}
        left = self.off.copy()
        todo = list(picked)
        while todo:
            effects: Array = np.stack([self.columns[move.name] for move in todo], axis=1)
            effort = np.diag([1 / move.usual for move in todo])
            wanted = -np.concatenate((left, np.zeros(len(todo))))
            got = np.linalg.lstsq(np.vstack((effects, effort)), wanted, rcond=None)[0]
            first = int(
                np.argmax([abs(raw) / move.step for raw, move in zip(got, todo, strict=True)])
            )
            move = todo.pop(first)
            amount = round(float(got[first]) / move.step) * move.step
            amounts[move.name] = max(-move.most, min(move.most, amount))
            left = left + self.columns[move.name] * amounts[move.name]
        return [amounts[move.name] for move in picked]

    def _said(self, picked: Sequence[Move], amounts: Sequence[float]) -> Moved:
        """Both arms and one of them besides, said as what each side gets in all; in the order the
        moves were chosen.
        """
        moves_by_name = {move.name: move for move in self.can}
        chosen = {move.name: amount for move, amount in zip(picked, amounts, strict=True) if amount}
        rows: dict[str, float] = {}
        for name, amount in chosen.items():
            for own in _places(name, chosen):
                rows[own] = rows.get(own, 0.0) + amount
        made = [(moves_by_name[name], amount) for name, amount in rows.items()]
        return [(move, amount) for move, amount in made if abs(amount) > move.step / 2]


def _places(name: str, chosen: Mapping[str, float]) -> Iterator[str]:
    """Where a move is made: at each side where one side is moved besides both."""
    head, _, side = name.partition(".")
    each = (f"{head}.L", f"{head}.R")
    yield from each if side == "both" and set(each) & set(chosen) else (name,)
