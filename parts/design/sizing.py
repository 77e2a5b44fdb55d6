"""Sizing by enumeration: everything in a shop is discrete.

Every design gets a mask of the rules it breaks; the lightest with none wins. Where none is left,
the answer names the rules that cannot be met. A grid has one axis a variable, so a rule is worked
for every design at once by NumPy's broadcasting.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout import units
from ...layout.arrays import Array
from .. import stock
from ..model.clause import Clause
from ..model.family import Choice, Family, Grid, Site, Variable
from ..model.hold import Step
from ..model.on_hand import OnHand
from ..model.vectors import Number
from ..model.verdict import Verdict
from ..words.numbers import plain
from .site import Refused

NO_CAPACITY = 99.0
"""Utilisation printed where something has no capacity at all."""
UNSURE = 0.8
"""Used more than this on a value from memory, a rule is no pass on its own (judgment)."""
SAME_SIZE = 1e-3
"""mm within which a pinned length is a choice of the stock."""
HARDLY = 1e-6
"""Excess of a demand that is rounding."""


Choices = tuple[Choice, ...]
"""Values of one variable."""
FamilyPins = Mapping[str, Choice]
"""What the job says of a family's variables."""

AS_DRAWN = "as drawn"
"""The case of a row that no load makes."""


class Check(NamedTuple):
    """One rule at the chosen design: demand against capacity.

    Attributes
    ----------
    part, what : str
        Whose check it is, and what is checked, in shop words.
    clause : str
        Where the rule stands, with its edition.
    demand, capacity : float
        In ``unit``; utilisation and verdict are derived from them.
    must : bool
        False: a warning at most.
    tag : str
        How the clause's source was seen ("read", "read*", "memory", "fitted", "practice").
    case : str
        The load case it is for, "" where it is for none.
    formula, given, rule : str, tuple of (str, float), str
        As printed, the numbers put into it, and the clause's name.
    steps : tuple of Step
        Where those numbers come from.
    """

    part: str
    what: str
    clause: str
    demand: float
    capacity: float
    unit: str
    must: bool = True
    tag: str = ""
    case: str = ""
    formula: str = ""
    given: tuple[tuple[str, float], ...] = ()
    rule: str = ""
    steps: tuple[Step, ...] = ()

    @classmethod
    def of(
        cls,
        clause: Clause,
        given: Mapping[str, Number],
        *,
        part: str,
        what: str,
        case: str = "",
        must: bool | None = None,
        tag: str | None = None,
        steps: tuple[Step, ...] = (),
    ) -> Check:
        """A clause with the numbers put into it, for one design.

        Parameters
        ----------
        given : mapping of str to float
            Its keyword arguments, in the unit each name ends in.
        must, tag : optional
            The clause's own unless said: where what is put in is known less well than the clause.
        """
        demand, capacity = clause(**given)
        return cls(
            part=part,
            what=what,
            clause=f"{clause.ref} {clause.edition}".strip(),
            demand=float(demand),
            capacity=float(capacity),
            unit=clause.unit,
            must=clause.must if must is None else must,
            tag=clause.tag if tag is None else tag,
            case=case,
            formula=clause.formula,
            given=tuple((name, float(value)) for name, value in given.items()),
            rule=clause.__name__,
            steps=steps,
        )

    @property
    def numbers(self) -> str:
        """The numbers put in, each with its unit inside."""
        return put_in(dict(self.given))

    @property
    def utilisation(self) -> float:
        """Demand over capacity; 99 where there is no capacity at all."""
        if self.capacity > 0 and not math.isnan(self.demand):
            return self.demand / self.capacity
        return 0.0 if self.demand <= self.capacity else NO_CAPACITY

    @property
    def verdict(self) -> Verdict:
        """Fails, ok, or confirm: past what is only advised, or met with more than 0.8 used on a
        value from memory, which is no pass on its own. What could not be worked out is not met.
        """
        if not self.demand <= self.capacity * (1 + 1e-9) + HARDLY:
            return Verdict.FAILS if self.must else Verdict.CONFIRM
        unsure = self.tag == "memory" and self.must and self.utilisation > UNSURE
        return Verdict.CONFIRM if unsure else Verdict.OK


class Pick(NamedTuple):
    """The chosen sizes and their checks.

    Attributes
    ----------
    chosen : mapping of str to Choice
        As ``Sizes`` takes it: stock keys by variable, and the numbers behind them.
    checks : tuple of Check
        Every rule at that design, those that only warn too.
    designs : int
        How many were looked at.
    broken : tuple of str
        The rules none of the designs meets, in shop words; () where the pick is sound.
    """

    chosen: Mapping[str, Choice]
    checks: tuple[Check, ...]
    designs: int
    broken: tuple[str, ...]


def _columns(unit: str, values: Choices, shop: OnHand) -> dict[str, Array]:
    """Numbers behind a variable's choices, by suffix."""
    if unit == "plate":
        rows = [shop.plate(str(key)) for key in values]
        steels = [stock.steel(plate.steel) for plate in rows]
        return {
            "": np.arange(len(values)),
            ".t": np.array([min(plate.thickness, plate.measured) for plate in rows]),
            ".fy": np.array([steel.fy for steel in steels]),
            ".fu": np.array([steel.fu for steel in steels]),
        }
    if unit == "tube":
        tubes = [shop.tube(str(key)) for key in values]
        return {
            "": np.arange(len(values)),
            ".od": np.array([tube.od for tube in tubes]),
            ".wall": np.array([tube.wall for tube in tubes]),
            ".fy": np.array([stock.steel(tube.steel).fy for tube in tubes]),
        }
    if unit == "bolt":
        bolts = [stock.bolt(str(key)) for key in values]
        return {
            "": np.arange(len(values)),
            ".d": np.array([bolt.d for bolt in bolts]),
            ".hole": np.array([bolt.hole_close for bolt in bolts]),
            ".as": np.array([bolt.area for bolt in bolts]),
        }
    return {"": np.array([float(value) for value in values])}


def _choices(family: Family, shop: OnHand, pins: FamilyPins) -> dict[str, Choices]:
    """Values of each variable, narrowed by the pins. Refused for a pin that is no choice."""
    found = {}
    for var in family.variables:
        values = tuple(var.values(shop))
        if var.name in pins:
            values = (pinned_choice(var, pins[var.name], values),)
        if not values:
            raise Refused(f"nothing in stock serves for {var.name}: add it to the stock")
        found[var.name] = values
    strange = set(pins) - {variable.name for variable in family.variables}
    if strange:
        raise Refused(
            f"no variable {', '.join(sorted(strange))} to pin; there is"
            f" {', '.join(variable.name for variable in family.variables) or 'none'}"
        )
    return found


def pinned_choice(var: Variable, typed: Choice, values: Choices) -> Choice:
    """The choice a pin means; a length may be typed with its unit. Refused lists the choices."""
    shown = (
        [units.show(float(value), "length") for value in values]
        if var.unit == "mm"
        else list(map(str, values))
    )
    if var.unit == "mm":
        try:
            length = units.parse(typed, "length", "mm")
        except units.UnitError:
            raise Refused(
                f"pin {var.name} = {typed!r}: the choices are {', '.join(shown)}"
            ) from None
        near = [value for value in values if abs(float(value) - length) < SAME_SIZE]
        if near:
            return near[0]
        typed = length
    if typed not in values:
        raise Refused(f"pin {var.name} = {typed!r}: the choices are {', '.join(shown)}")
    return typed


class Designs(NamedTuple):
    """All designs of a family; ``shape`` has one axis a variable, as long as its choices.

    Attributes
    ----------
    choices : mapping of str to tuple
        By variable, in the order of the axes.
    broken : array of bool (rules, *shape)
        Which rule each design breaks; rules that only warn break nothing.
    cost : array (*shape)
        kg, and 1000 for each variable that is not what the shop prefers.
    """

    choices: Mapping[str, Choices]
    broken: NDArray[np.bool_]
    cost: Array

    @property
    def fits(self) -> NDArray[np.bool_]:
        """Designs that break nothing, bool (*shape)."""
        return np.asarray(~self.broken.any(axis=0))


def field(family: Family, site: Site, pins: FamilyPins) -> Designs:
    """Every design the stock and the pins leave, and what each breaks.

    Raises
    ------
    Refused
        Nothing in stock for a variable, or a pin that is no choice; the choices are listed.
    """
    choices = _choices(family, site.shop, pins)
    count = len(choices)
    shape = tuple(len(value) for value in choices.values())
    grid: dict[str, Array] = {}
    for number, var in enumerate(family.variables):
        along = tuple(-1 if axis == number else 1 for axis in range(count))
        for suffix, column in _columns(var.unit, choices[var.name], site.shop).items():
            grid[var.name + suffix] = column.reshape(along)
    broken = np.zeros((len(family.rules), *shape), dtype=bool)
    for row, rule in enumerate(family.rules):
        if not rule.clause.must:
            continue
        demand, capacity = rule.clause(**rule.args(grid, site))
        broken[row] = np.broadcast_to(
            ~(np.asarray(demand) <= np.asarray(capacity) * (1 + 1e-9) + HARDLY), shape
        )
    cost = np.array(np.broadcast_to(np.asarray(family.mass(grid, site), dtype=float), shape))
    for number, var in enumerate(family.variables):
        if var.preferred is not None:
            away = np.array([float(value != var.preferred) for value in choices[var.name]]).reshape(
                tuple(-1 if axis == number else 1 for axis in range(count))
            )
            cost = cost + 1e3 * away  # kg: no part's steel outweighs what the shop prefers
    return Designs(choices, broken, cost)


def size(family: Family, site: Site, part: str, pins: FamilyPins | None = None) -> Pick:
    """The lightest design that breaks no rule; preferred values win over weight. With none, the one
    that breaks fewest, and which they are.

    Parameters
    ----------
    part : str
        Whose checks they become.
    pins : mapping of str to Choice, optional
        Sizes the job fixes, by variable.

    Raises
    ------
    Refused
        As ``field``.
    """
    found = field(family, site, pins or {})
    count = len(found.choices)
    shape = found.cost.shape
    misses = found.broken.sum(axis=0) if len(family.rules) else np.zeros(shape)
    # a broken rule outweighs every preference
    best = np.unravel_index(int(np.argmin(found.cost + 1e6 * misses)), shape) if count else ()
    chosen = _scalars(family, found.choices, best, site.shop)
    alone = grid_of_one(chosen)
    never = tuple(r.says for row, r in enumerate(family.rules) if found.broken[(row, *best)])
    return Pick(
        chosen,
        tuple(
            Check.of(rule.clause, rule.args(alone, site), part=part, what=rule.says)
            for rule in family.rules
        ),
        int(np.prod(shape)),
        never,
    )


def _scalars(
    family: Family, choices: Mapping[str, Choices], place: tuple[np.intp, ...], shop: OnHand
) -> dict[str, Choice]:
    """The sizes at one place of the field; a plate's thickness is its nominal one."""
    chosen: dict[str, Choice] = {}
    for var, i in zip(family.variables, place, strict=True):
        value = choices[var.name][int(i)]
        for suffix, column in _columns(var.unit, (value,), shop).items():
            chosen[var.name + suffix] = float(column[0])
        chosen[var.name] = value
        if var.unit == "plate":
            plate = shop.plate(str(value))
            chosen |= {f"{var.name}.t": plate.thickness, f"{var.name}.t_measured": plate.measured}
    return chosen


def grid_of_one(chosen: Mapping[str, Choice]) -> Grid:
    """The numbers of one choice as a grid of one."""
    return {name: np.asarray(value) for name, value in chosen.items() if not isinstance(value, str)}


SUFFIXES = (
    ("_N_mm", "N/mm"),
    ("_Nmm", "N mm"),
    ("_mm2", "mm2"),
    ("_MPa", "MPa"),
    ("_mm", "mm"),
    ("_rad", "rad"),
    ("_N", "N"),
)


def put_in(given: Mapping[str, Number]) -> str:
    """The numbers put into a clause, each with its unit as its name ends."""
    said = []
    for name, value in given.items():
        word, unit = next(
            (
                (name.removesuffix(end), f" {printed}")
                for end, printed in SUFFIXES
                if name.endswith(end)
            ),
            (name, ""),
        )
        said.append(f"{word.replace('_', ' ')} {plain(float(value))}{unit}")
    return ", ".join(said)
