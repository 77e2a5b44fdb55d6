"""Sizing by enumeration: everything in a shop is discrete.

Every design gets a mask of the rules it breaks; the lightest with none wins. Where none is left,
the answer names the rules that cannot be met.
"""

from __future__ import annotations

from collections.abc import Mapping
from itertools import combinations
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ...layout import units
from .. import stock
from ..model.clause import Clause
from ..model.family import Choice, Family, Grid, Site, Variable
from ..model.vectors import Array, Number
from ..model.verdict import Verdict
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
Pins = Mapping[str, Choice]
"""What the job says of a family's variables."""


class Check(NamedTuple):
    """One rule at the chosen design: demand against capacity, and the load case it is for, if it is
    for one; ``given``: the numbers put into its clause, of which ``rule`` is the name; utilisation
    and verdict are derived.
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
    ) -> Check:
        """A clause with the numbers put into it, for one design.

        ``given``: its keyword arguments; ``must`` and ``tag``: the clause's own unless said, where
        what is put in is known less well than the clause.
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
        )

    @property
    def numbers(self) -> str:
        """The numbers put in, each with its unit inside."""
        return put_in(dict(self.given))

    @property
    def utilisation(self) -> float:
        """Demand over capacity; 99 where there is no capacity at all."""
        if self.capacity > 0:
            return self.demand / self.capacity
        return 0.0 if self.demand <= self.capacity else NO_CAPACITY

    @property
    def verdict(self) -> Verdict:
        """Fails, ok, or confirm: past what is only advised, or met with more than 0.8 used on a
        value from memory, which is no pass on its own.
        """
        if self.demand > self.capacity * (1 + 1e-9) + HARDLY:
            return Verdict.FAILS if self.must else Verdict.CONFIRM
        unsure = self.tag == "memory" and self.must and self.utilisation > UNSURE
        return Verdict.CONFIRM if unsure else Verdict.OK


class Pick(NamedTuple):
    """The chosen sizes and their checks.

    ``designs``: how many were looked at; ``broken`` names the rules that none of them meets.
    """

    chosen: Mapping[str, Choice]
    checks: tuple[Check, ...]
    designs: int
    broken: tuple[str, ...]


def _columns(unit: str, values: Choices, shop: stock.Shop) -> dict[str, Array]:
    """Numbers behind a variable's choices, by suffix."""
    if unit == "plate":
        rows = [shop.plate(str(key)) for key in values]
        steels = [stock.steel(p.steel) for p in rows]
        return {
            "": np.arange(len(values)),
            ".t": np.array([min(p.thickness, p.measured) for p in rows]),
            ".fy": np.array([s.fy for s in steels]),
            ".fu": np.array([s.fu for s in steels]),
        }
    if unit == "tube":
        tubes = [shop.tube(str(key)) for key in values]
        return {
            "": np.arange(len(values)),
            ".od": np.array([t.od for t in tubes]),
            ".wall": np.array([t.wall for t in tubes]),
            ".fy": np.array([stock.steel(t.steel).fy for t in tubes]),
        }
    if unit == "bolt":
        bolts = [stock.bolt(str(key)) for key in values]
        return {
            "": np.arange(len(values)),
            ".d": np.array([b.d for b in bolts]),
            ".hole": np.array([b.hole_close for b in bolts]),
            ".as": np.array([b.area for b in bolts]),
        }
    return {"": np.array([float(v) for v in values])}


def _choices(family: Family, shop: stock.Shop, pins: Pins) -> dict[str, Choices]:
    """Values of each variable, narrowed by the pins. Refused for a pin that is no choice."""
    found = {}
    for var in family.variables:
        values = tuple(var.values(shop))
        if var.name in pins:
            values = (_pinned(var, pins[var.name], values),)
        if not values:
            raise Refused(f"nothing in stock serves for {var.name}: add it to the stock")
        found[var.name] = values
    strange = set(pins) - {v.name for v in family.variables}
    if strange:
        raise Refused(
            f"no variable {', '.join(sorted(strange))} to pin; there is"
            f" {', '.join(v.name for v in family.variables) or 'none'}"
        )
    return found


def _pinned(var: Variable, typed: Choice, values: Choices) -> Choice:
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
    """All designs of a family: ``broken`` (rules, *shape) which rule each breaks, ``cost`` (*shape)
    kg and preferences.
    """

    choices: Mapping[str, Choices]
    broken: NDArray[np.bool_]
    cost: Array

    @property
    def fits(self) -> NDArray[np.bool_]:
        """Designs that break nothing."""
        return np.asarray(~self.broken.any(axis=0))


def field(family: Family, site: Site, pins: Pins) -> Designs:
    """Every design the stock and the pins leave, and what each breaks."""
    choices = _choices(family, site.shop, pins)
    n = len(choices)
    shape = tuple(len(v) for v in choices.values())
    grid: dict[str, Array] = {}
    for i, var in enumerate(family.variables):
        along = tuple(-1 if j == i else 1 for j in range(n))
        for suffix, column in _columns(var.unit, choices[var.name], site.shop).items():
            grid[var.name + suffix] = column.reshape(along)
    broken = np.zeros((len(family.rules), *shape), dtype=bool)
    for k, rule in enumerate(family.rules):
        if not rule.clause.must:
            continue
        demand, capacity = rule.clause(**rule.args(grid, site))
        broken[k] = np.broadcast_to(
            np.asarray(demand) > np.asarray(capacity) * (1 + 1e-9) + HARDLY, shape
        )
    cost = np.array(np.broadcast_to(np.asarray(family.mass(grid, site), dtype=float), shape))
    for i, var in enumerate(family.variables):
        if var.preferred is not None:
            away = np.array([float(v != var.preferred) for v in choices[var.name]]).reshape(
                tuple(-1 if j == i else 1 for j in range(n))
            )
            cost = cost + 1e3 * away
    return Designs(choices, broken, cost)


def size(family: Family, site: Site, part: str, pins: Pins | None = None) -> Pick:
    """The lightest design that breaks no rule; preferred values win over weight.

    With none, the one that breaks fewest.
    """
    f = field(family, site, pins or {})
    n = len(f.choices)
    shape = f.cost.shape
    misses = f.broken.sum(axis=0) if len(family.rules) else np.zeros(shape)
    at = np.unravel_index(int(np.argmin(f.cost + 1e6 * misses)), shape) if n else ()
    chosen = _scalars(family, f.choices, at, site.shop)
    alone = _alone(chosen)
    never = tuple(r.says for k, r in enumerate(family.rules) if f.broken[(k, *at)])
    return Pick(
        chosen,
        tuple(
            Check.of(rule.clause, rule.args(alone, site), part=part, what=rule.says)
            for rule in family.rules
        ),
        int(np.prod(shape)),
        never,
    )


class Fight(NamedTuple):
    """Pins that cannot all be met: ``sets``, each a smallest one (no part of it fights by itself),
    shortest first, with the rule that stands against it; ``release``: the fewest pins to let go,
    and the sizes the rest then gets. Empty ``release`` where nothing in stock serves at all.
    """

    sets: tuple[tuple[tuple[str, ...], str], ...]
    release: tuple[str, ...]
    then: Mapping[str, Choice]


def fight(family: Family, site: Site, pins: Pins, most: int = 3) -> Fight | None:
    """Why these pins leave no design; None if they do.

    Exact: every design of the stock is looked at, rules are never let go.
    """
    whole = field(family, site, {})
    names = [v.name for v in family.variables]
    pinned = [n for n in names if n in pins]

    pins = {
        v.name: _pinned(v, pins[v.name], whole.choices[v.name])
        for v in family.variables
        if v.name in pins
    }

    def part(kept: tuple[str, ...]) -> tuple[int | slice, ...]:
        return tuple(whole.choices[n].index(pins[n]) if n in kept else slice(None) for n in names)

    def serves(kept: tuple[str, ...]) -> bool:
        return bool(np.any(whole.fits[part(kept)]))

    if serves(tuple(pinned)):
        return None
    sets: list[tuple[tuple[str, ...], str]] = []
    for size_ in range(1, len(pinned) + 1):
        for s in combinations(pinned, size_):
            if not any(set(old) <= set(s) for old, _ in sets) and not serves(s):
                sets.append((s, _against(family, whole, part(s))))
    for gone in range(1, len(pinned) + 1):
        ways = [
            w for w in combinations(pinned, gone) if serves(tuple(n for n in pinned if n not in w))
        ]
        if ways:
            return Fight(
                tuple(sets[:most]),
                ways[0],
                size(family, site, "", {n: pins[n] for n in pinned if n not in ways[0]}).chosen,
            )
    return Fight(tuple(sets[:most]), (), {})


def _against(family: Family, whole: Designs, at: tuple[int | slice, ...]) -> str:
    """The rule that most designs of a part of the field break."""
    counts = [float(np.mean(whole.broken[k][at])) for k in range(len(family.rules))]
    return family.rules[int(np.argmax(counts))].says


def _scalars(
    family: Family, choices: Mapping[str, Choices], at: tuple[np.intp, ...], shop: stock.Shop
) -> dict[str, Choice]:
    """The sizes at one place of the field; a plate's thickness is its nominal one."""
    chosen: dict[str, Choice] = {}
    for var, i in zip(family.variables, at, strict=True):
        value = choices[var.name][int(i)]
        for suffix, column in _columns(var.unit, (value,), shop).items():
            chosen[var.name + suffix] = float(column[0])
        chosen[var.name] = value
        if var.unit == "plate":
            p = shop.plate(str(value))
            chosen |= {f"{var.name}.t": p.thickness, f"{var.name}.t_measured": p.measured}
    return chosen


def _alone(chosen: Mapping[str, Choice]) -> Grid:
    """The numbers of one choice as a grid of one."""
    return {name: np.asarray(value) for name, value in chosen.items() if not isinstance(value, str)}


LARGE = 1000
"""From here a number has no decimals."""
SUFFIXES = (
    ("_N_mm", "N/mm"),
    ("_Nmm", "N mm"),
    ("_mm2", "mm2"),
    ("_MPa", "MPa"),
    ("_mm", "mm"),
    ("_rad", "rad"),
    ("_N", "N"),
)


def plain(x: float) -> str:
    """A number for a person: no exponent, three decimals at most, none from a thousand."""
    return f"{x:.0f}" if abs(x) >= LARGE else f"{round(x, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


def put_in(given: Mapping[str, Number]) -> str:
    """The numbers put into a clause, each with its unit as its name ends."""
    said = []
    for name, value in given.items():
        word, unit = next(
            ((name.removesuffix(end), f" {u}") for end, u in SUFFIXES if name.endswith(end)),
            (name, ""),
        )
        said.append(f"{word.replace('_', ' ')} {plain(float(value))}{unit}")
    return ", ".join(said)
