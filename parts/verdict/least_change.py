"""What passes instead of a part that cannot be made: the least move of a choice or a wish with
which it can, tried one by one, and the stock that would do.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ...layout import units
from ...layout.explain import supposed
from ...layout.job.fields import FIELDS, pattern
from ...layout.job.load import Job
from ...layout.quantities import Key
from ...layout.setout import solve
from ...layout.units import IN
from ..model.family import Choice
from ..stock import Shop, default_shop
from ..truck import pins
from ..truck.needs import kept
from ..truck.truck import Truck, design

STEPS: Mapping[str, tuple[float, ...]] = {
    "length": (IN / 4, IN / 2, IN, 2 * IN, 4 * IN),
    "angle": (math.radians(0.5), math.radians(1), math.radians(2), math.radians(4)),
}
"""How far a choice is moved at a turn, the least first."""
MOST_TRIED = 140
"""Trucks designed before the search gives up: about a second each."""
ENOUGH = 3
"""Ways told."""


class PassingChange(NamedTuple):
    """One change with which a part can be made: a field with what it is and what it would be, or a
    piece of stock.
    """

    what: str
    says: str


def ways(job: Job, shop: Shop, truck: Truck, who: str) -> list[PassingChange]:
    """The nearest changes with which ``who`` of ``truck.failed`` can be made and nothing else is
    lost; none where none was found.
    """
    found: list[PassingChange] = []
    fields: set[str] = set()
    if stock := _stock(job, shop, truck, who):
        found.append(stock)
    for tried, (keys, step) in enumerate(moves(job, _letters(who))):
        if tried >= MOST_TRIED or len(found) >= ENOUGH:
            break
        name = keys[0].name
        if name in fields:
            continue
        values = {key: job.readings[key].value + step for key in keys}
        changed = supposed(job, values)
        made = design(solve(changed), job.words, pins.good(job.pins, shop), job.chassis, shop)
        if _as_good(truck, made, who):
            fields.add(name)
            found.append(way(job, keys, values))
    return found


def _as_good(before: Truck, now: Truck, who: str) -> bool:
    """Whether a family can be made now, and nothing that could be before is lost."""
    lost = {*now.failed, *now.behind, *now.waiting}
    return who not in lost and lost <= {*before.failed, *before.behind, *before.waiting}


def moves(job: Job, code: str) -> Iterator[tuple[tuple[Key, ...], float]]:
    """Every choice and wish the parts of two letters rest on with a step, the least steps first,
    both sides of the truck alike.
    """
    rests = set().union(*(row.fields for row in kept() if row.code == code))
    free = [
        (FIELDS[pattern(name)].role != "wanted", name)
        for name in dict.fromkeys(key.name for key in job.readings)
        if (field := FIELDS[pattern(name)]).role != "measured"
        and field.kind in STEPS
        and field.name in rests
    ]
    names = [name for _, name in sorted(free, key=lambda pair: pair[0])]
    for turn in range(max(map(len, STEPS.values()))):
        for name in names:
            field = FIELDS[pattern(name)]
            keys = tuple(key for key in job.readings if key.name == name)
            for step in STEPS[field.kind][turn : turn + 1]:
                for move in (step, -step):
                    if all(field.low <= job.readings[k].value + move <= field.high for k in keys):
                        yield keys, move


def way(job: Job, keys: tuple[Key, ...], values: Mapping[Key, float]) -> PassingChange:
    """A field that is moved, in words."""
    field = FIELDS[pattern(keys[0].name)]
    was, now = (
        units.show(value, field.kind) for value in (job.readings[keys[0]].value, values[keys[0]])
    )
    return PassingChange(keys[0].name, f"{keys[0].name} {now} instead of {was} ({field.how})")


def _stock(job: Job, shop: Shop, truck: Truck, who: str) -> PassingChange | None:
    """Plate or tube of the tables that the shop has not and with which it can be made."""
    usual = default_shop()
    plates = {own.key: own for own in (*usual.plates, *shop.plates)}
    tubes = {own.key: own for own in (*usual.tubes, *shop.tubes)}
    on_hand = {plate.key for plate in shop.plates} | {tube.key for tube in shop.tubes}
    if not {*plates, *tubes} - on_hand:
        return None
    more = shop._replace(
        plates=tuple(sorted(plates.values(), key=lambda plate: plate.thickness)),
        tubes=tuple(tubes.values()),
    )
    made = design(solve(job), job.words, pins.good(job.pins, more), job.chassis, more)
    if not _as_good(truck, made, who):
        return None
    picked: Mapping[str, Choice] = made.picks[who.rpartition(" ")[2]].chosen
    new = [str(own) for own in picked.values() if str(own) in {*plates, *tubes} - on_hand]
    return (
        PassingChange("stock", f"{' and '.join(dict.fromkeys(new))} on the rack") if new else None
    )


def _letters(who: str) -> str:
    """The letters of a family and side such as "transmission pad XP.C"."""
    return who.rpartition(" ")[2].partition(".")[0]


def failed_of(truck: Truck, code: str) -> Mapping[str, str]:
    """Families and sides of a code that cannot be made, with why."""
    return {who: why for who, why in truck.failed.items() if _letters(who) == code}
