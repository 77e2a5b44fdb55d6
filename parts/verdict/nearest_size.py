"""What is made instead of a part that cannot be: the nearest value of a choice, a wish or a reading
it hangs on, tried on that family alone and then on the whole truck before it is said, or the stock
that would do.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from ...layout import units
from ...layout.explain import supposed
from ...layout.graph import Graph
from ...layout.job.cross import contradictions
from ...layout.job.fields import FIELDS, Field, pattern
from ...layout.job.load import Job
from ...layout.quantities import SIDES, Key
from ...layout.setout import solve
from ...layout.setout.diagnoses import diagnose
from ...layout.units import DEG, IN
from ..design.site import loads_known
from ..model.family import Choice
from ..stock import Shop, default_shop
from ..truck import pins
from ..truck.alone import Alone, alone, called, under
from ..truck.truck import Truck, design
from .least_change import PassingChange, way

FIRST: Mapping[str, float] = {"length": IN / 4, "angle": DEG / 2, "count": 1.0}
"""The first step away from what was typed, by kind; of any other a 512th of its range. Every next
one is twice as long.
"""
TURNS = 11
"""Steps each way; the last is longer than any range."""
HALVINGS = 10
"""Between the last value that does not do and the first that does: to a sixteenth in 64 in."""
QUICK, THOROUGH = 600, 10000
"""What a search costs before it gives up, about 2 ms each: what a build has time for, and who asks
for one part alone.
"""
OF_LOADS = 10
"""What it costs to work a layout's loads, where a family asks for them."""
TIER = 8
"""Fields that are moved side by side before any that is further from the refusal."""
NEAR = 2
"""Readings of a result that count as near as the result itself: those that move it the most; and
fields that are moved all their range before any other is.
"""
WHOLE = 12
"""Whole trucks designed before a search gives up."""
ENOUGH = 3
"""Ways told."""


def failed_of(truck: Truck, code: str) -> Mapping[str, str]:
    """Families and sides of a code that cannot be made, with why."""
    return {
        who: why
        for who, why in truck.failed.items()
        if who.rpartition(" ")[2].partition(".")[0] == code
    }


def ways(job: Job, shop: Shop, truck: Truck, who: str) -> list[PassingChange]:
    """The nearest changes with which ``who`` of ``truck.failed`` can be made, nothing else is lost
    and no other conflict comes of it; what the shop may choose before what it read. None where none
    was found.
    """
    return [did.change for did in _ways(_Search(job, shop, truck, who, thorough=True))]


def told(job: Job, shop: Shop, truck: Truck) -> dict[str, str]:
    """For every family that cannot be made, the sentence that says with what it can, or what to
    type for a longer search.

    What helps one side is tried on the other first; of what nothing was found for on one side
    nothing is looked for on the other.
    """
    said: dict[str, str] = {}
    known: dict[str, list[Did]] = {}
    for who in truck.failed:
        letters = who.rpartition(" ")[2].partition(".")[0]
        search = _Search(job, shop, truck, who, thorough=False)
        before = known.get(letters)
        near = [did for did in before or () if search.passes(did.job)]
        if not near and (before is None or before):
            near = _ways(search)
        known[letters] = near
        said[who] = _sentence([did.change for did in near], letters)
    return said


def _sentence(near: list[PassingChange], letters: str) -> str:
    """With what it can be made: of what may be chosen alone, if any of that does."""
    if not near:
        return f"soapstone explain {letters} looks for the least change with which it can be made"
    chosen = [change.brief for change in near if not _read(change.what)]
    if chosen:
        return f"It can be made with {', or with '.join(chosen)}"
    read = " or ".join(change.brief for change in near)
    return f"It could be made with {read}: read that again"


class Did(NamedTuple):
    """A change with which a family can be made, and the job with it."""

    change: PassingChange
    job: Job


def _ways(search: _Search) -> list[Did]:
    """What a search finds, what may be chosen first."""
    found = list(search.found())
    return sorted(found, key=lambda did: _read(did.change.what))[:ENOUGH]


def _read(name: str) -> bool:
    """Whether a field is a reading, which nobody may choose."""
    field = FIELDS.get(pattern(name))
    return field is not None and field.role == "measured"


class _FieldAhead(NamedTuple):
    """A field one way: its keys, which way, the furthest move that was tried and does not do."""

    keys: tuple[Key, ...]
    way: float
    bad: float


class _Search:
    """One family that cannot be made, and everything that is tried for it."""

    def __init__(self, job: Job, shop: Shop, truck: Truck, who: str, thorough: bool) -> None:
        self.job, self.shop, self.who, self.thorough = job, shop, who, thorough
        self.lost = {*truck.failed, *truck.behind, *truck.waiting}
        self.solved = solve(job)
        self.conflicts = self._conflicts(job, self.solved)
        self.family = called(who)[0]
        self.why = truck.failed[who]
        self.left = THOROUGH if thorough else QUICK
        self.whole = WHOLE
        self.told: set[str] = set()
        self.broken: tuple[str, ...] = ()

    def found(self) -> Iterator[Did]:
        """Every change of one turn of steps, the first in which any does; thorough: until there are
        enough.
        """
        here = self._alone(self.job, hangs=True)
        self.broken = here.broken
        if self.who not in here.lost:
            return  # a part of another family is in its way: only a whole truck would tell
        if stock := self._stock():
            yield Did(stock, self.job)
        if self.family in self.job.pins:
            free = {name: own for name, own in self.job.pins.items() if name != self.family}
            if self.passes(other := self.job._replace(pins=free)):
                yield Did(PassingChange("pin", f"nothing under [pin.{self.family}]"), other)
        yield from self._said_otherwise(here.hangs)
        fields = self._fields(here.hangs)
        for tier in (
            fields[:NEAR],
            *(fields[at : at + TIER] for at in range(NEAR, len(fields), TIER)),
        ):
            yield from self._turns(tier)
            if self._enough() or (self.told and not self.thorough):
                return

    def _turns(self, fields: list[tuple[Key, ...]]) -> Iterator[Did]:
        """What does of some fields, the shortest steps of all of them before any longer one."""
        ahead = [_FieldAhead(keys, way, 0.0) for keys in fields for way in (1, -1)]
        before = set(self.told)
        for turn in range(TURNS):
            then = []
            for row in ahead:
                if self._enough():
                    return
                if row.keys[0].name in self.told:
                    continue
                tried = self._step(row, turn)
                if isinstance(tried, _FieldAhead):
                    then.append(tried)
                elif tried is not None:
                    self.told.add(row.keys[0].name)
                    yield Did(way(self.job, row.keys, tried), self._with(tried))
            ahead = then
            if self.told > before and not self.thorough:
                return

    def _enough(self) -> bool:
        return self.left <= 0 or self.whole <= 0 or len(self.told) >= ENOUGH

    def _said_otherwise(self, hangs: tuple[Key, ...]) -> Iterator[Did]:
        """The first other word of each choice it hangs on with which it does; and without the
        results that are given.
        """
        for key in hangs:
            field = FIELDS.get(pattern(key.name))
            now = self.job.words.get(key.name)
            if field is None or field.role == "measured" or not field.words or now is None:
                continue
            near = sorted(
                field.words, key=lambda word: abs(_place(field, word) - _place(field, now))
            )
            for word in near[1:]:
                other = self.job._replace(words={**self.job.words, key.name: word})
                if self.passes(other):
                    said = f'{key.name} "{word}" instead of "{now}"'
                    yield Did(PassingChange(key.name, said, field.how), other)
                    break
        rests = {leaf for key in hangs for leaf in self._leaves(key)}
        for key in sorted(rests & self.job.fixed.keys()):
            fixed = {own: reading for own, reading in self.job.fixed.items() if own != key}
            if self.passes(other := self.job._replace(fixed=fixed)):
                yield Did(PassingChange("fixed", f"nothing given for {key} under [fixed]"), other)

    def _step(self, row: _FieldAhead, turn: int) -> _FieldAhead | Mapping[Key, float] | None:
        """A field one step further: the nearest values with which it does, else how far it was
        tried; None where its range ends.
        """
        field = _field(row.keys[0])
        room = min(
            (field.high - self.job.readings[key].value)
            if row.way > 0
            else (self.job.readings[key].value - field.low)
            for key in row.keys
        )
        first = FIRST.get(field.kind, (field.high - field.low) / 512)
        move = min(first * 2**turn, room)
        middle = -row.way * self.job.readings[row.keys[0]].value
        if row.bad < middle < move:  # square, level or on the center line may be all that does
            move = middle
        if move <= row.bad:
            return None
        good = self._typed(row, move)
        if good is None or not self._does(self._with(good)):
            return row._replace(bad=move)
        values = self._nearest(row, move, good)
        if not self._stands(self._with(values)):
            return row._replace(bad=move)
        return values

    def _nearest(
        self, row: _FieldAhead, move: float, good: Mapping[Key, float]
    ) -> Mapping[Key, float]:
        """The least move of a field that does, between one that does not and one that does."""
        bad = row.bad
        for _ in range(HALVINGS):
            middle = (bad + move) / 2
            values = self._typed(row, middle)
            if values is None or values == good:
                break
            if self._does(self._with(values)):
                move, good = middle, values
            else:
                bad = middle
        return good

    def _typed(self, row: _FieldAhead, move: float) -> Mapping[Key, float] | None:
        """The values of a field that is moved, as whoever types what is told would give them; None
        where they would be none of its range, or what they are.
        """
        field = _field(row.keys[0])
        values = {
            key: units.parse(
                units.show(self.job.readings[key].value + row.way * move, field.kind), field.kind
            )
            for key in row.keys
        }
        if not all(field.low <= value <= field.high for value in values.values()):
            return None
        return values

    def _with(self, values: Mapping[Key, float]) -> Job:
        return supposed(self.job, values)

    def passes(self, job: Job) -> bool:
        """Whether another job makes the family, alone and in a whole truck."""
        return self._does(job) and self._stands(job)

    def _does(self, job: Job) -> bool:
        """Whether the family can be made alone, and all it stands on."""
        if any(contradictions(job.readings, job.words, job.counts)):
            return False
        lost = self._alone(job).lost
        return self.who not in lost and lost <= self.lost

    def _alone(self, job: Job, *, hangs: bool = False) -> Alone:
        own, solved = pins.good(job.pins, self.shop), solve(job)
        made = alone(self.who, solved, job.words, own, self.shop, self.broken, hangs=hangs)
        self.left -= 1 + len(under(self.family)) // 3 + OF_LOADS * loads_known(solved)
        return made

    def _stands(self, job: Job) -> bool:
        """Whether a whole truck has it, loses nothing else and has no other conflict."""
        self.whole -= 1
        solved = solve(job)
        own = pins.good(job.pins, self.shop)
        made = design(solved, job.words, own, job.chassis, self.shop, tried=True)
        lost = {*made.failed, *made.behind, *made.waiting}
        return (
            self.who not in lost
            and lost <= self.lost
            and self._conflicts(job, solved) <= self.conflicts
        )

    def _conflicts(self, job: Job, solved: Graph) -> set[str]:
        return {row.code for row in diagnose(job, solved) if row.severity == "conflict"}

    def _fields(self, hangs: tuple[Key, ...]) -> list[tuple[Key, ...]]:
        """Fields to move, nearest to the refusal first: what it names, what it hangs on, and of a
        result the readings that move it the most over their range.
        """
        hangs = tuple(sorted(hangs, key=lambda key: key.name not in self.why))
        leaves = [self._leaves(key) for key in hangs]
        order = [
            *(leaf for own in leaves for leaf in own[:NEAR]),
            *(leaf for own in leaves for leaf in own),
        ]
        fields = dict.fromkeys(
            keys
            for leaf in dict.fromkeys(order)
            if leaf in self.job.readings and not _field(leaf).is_word
            for keys in self._sides(leaf)
        )
        return list(fields)

    def _leaves(self, key: Key) -> list[Key]:
        if key in self.job.readings:
            return [key]
        slopes = self.solved.gradient(key)
        if not slopes:
            return sorted(self.solved.rests_on(key))

        def moves(leaf: Key) -> float:
            field = FIELDS.get(pattern(leaf.name))
            return abs(slopes[leaf]) * (field.high - field.low) if field else math.inf

        return sorted((leaf for leaf in slopes if slopes[leaf]), key=lambda leaf: -moves(leaf))

    def _sides(self, leaf: Key) -> Iterator[tuple[Key, ...]]:
        """A reading of one side: with the other where they are alike, else alone and with it."""
        both = tuple(Key(leaf.name, side) for side in SIDES)
        if leaf.side == "C" or not all(key in self.job.readings for key in both):
            yield (leaf,)
            return
        one, two = (self.job.readings[key].value for key in both)
        if one != two:
            yield (leaf,)
        yield both

    def _stock(self) -> PassingChange | None:
        """Plate or tube of the tables that the shop has not and with which it can be made."""
        usual, job = default_shop(), self.job
        plates = {own.key: own for own in (*usual.plates, *self.shop.plates)}
        tubes = {own.key: own for own in (*usual.tubes, *self.shop.tubes)}
        on_hand = {own.key for own in self.shop.plates} | {own.key for own in self.shop.tubes}
        if not {*plates, *tubes} - on_hand:
            return None
        more = self.shop._replace(
            plates=tuple(sorted(plates.values(), key=lambda plate: plate.thickness)),
            tubes=tuple(tubes.values()),
        )
        made = design(self.solved, job.words, pins.good(job.pins, more), job.chassis, more)
        lost = {*made.failed, *made.behind, *made.waiting}
        if self.who in lost or not lost <= self.lost:
            return None
        picked: Mapping[str, Choice] = made.picks[self.who.rpartition(" ")[2]].chosen
        new = [str(own) for own in picked.values() if str(own) in {*plates, *tubes} - on_hand]
        said = " and ".join(dict.fromkeys(new))
        return PassingChange("stock", f"{said} on the rack") if new else None


def _place(field: Field, word: str) -> int:
    return field.words.index(word)


def _field(key: Key) -> Field:
    return FIELDS[pattern(key.name)]
