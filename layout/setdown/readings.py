"""What is read on a truck standing on its wheels, one row a reading: the set-down file, the
set-down sheet and the verdict all ask these, in this order, by these words.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from typing import NamedTuple

from .. import reader, units

IN, DEG = units.IN, math.radians(1.0)


class SetdownReading(NamedTuple):
    """One reading.

    ``doubt``: one standard deviation of a careful reading; ``aim``: what a move is chosen by, 0
    where no move is made for it; ``limit``: how far off it may stay; mm or rad.
    """

    name: str
    kind: str
    title: str
    doubt: float
    aim: float
    limit: float
    how: str = ""


def _both(
    name: str, kind: str, title: str, doubt: float, aim: float, limit: float
) -> tuple[SetdownReading, ...]:
    return tuple(
        SetdownReading(f"{name}.{side}", kind, f"{title}, {side}", doubt, aim, limit)
        for side in ("left", "right")
    )


_HEIGHT = "rail bottom above the floor beside the coil"
ASKED: tuple[SetdownReading, ...] = (
    *_both("height", "length", _HEIGHT, IN / 16, IN / 16, IN / 8),
    *_both("wheelbase", "length", "rear hub center to front hub center", IN / 8, IN / 16, IN / 8),
    SetdownReading(
        name="sideways",
        kind="length",
        title="axle off the frame's center line, to the left +",
        doubt=IN / 16,
        aim=0.0,
        limit=IN / 8,
        how="rail side to wheel flange, left less right, halved",
    ),
    *_both("caster", "angle", "caster against the floor", 0.2 * DEG, 0.5 * DEG, 0.5 * DEG),
    SetdownReading(
        "pinion", "angle", "pinion against the floor, nose up +", 0.2 * DEG, 0.15 * DEG, 0.25 * DEG
    ),
    SetdownReading(
        "bar",
        "angle",
        "track bar against the floor, rising to the frame +",
        0.25 * DEG,
        0.5 * DEG,
        0.5 * DEG,
    ),
    SetdownReading(
        "drag",
        "angle",
        "drag link against the floor, rising to the pitman arm +",
        0.25 * DEG,
        0.0,
        0.5 * DEG,
    ),
    *_both("coil", "length", "coil, seat to seat", IN / 8, 0.0, IN / 4),
    SetdownReading(
        "rake", "angle", "rail bottom against the floor, front down +", 0.2 * DEG, 0.0, 0.5 * DEG
    ),
    SetdownReading("shaft", "length", "front shaft, joint to joint", IN / 8, 0.0, IN / 4),
)
"""Limits and doubts: common practice and judgment, no source."""
BY = {a.name: a for a in ASKED}
CROSS = 0.5 * DEG
"""Caster, left against right: common practice, no source."""
COIL_SHARE = 0.15
"""A coil may be this share of its squeeze longer or shorter than designed (rate and weight are
known that well; judgment, no source).
"""
SLACK = {"length": IN / 32, "angle": 0.05 * DEG}
"""Half of what a tape or finder is read to is no reason to cut a tack loose (judgment, no
source).
"""
SAME = 1e-9
"""Rounding: what differs by less is the same, mm or rad."""


class Window(NamedTuple):
    """Where a reading may lie, as read; ``why`` says what sets an end other than the limit, in a
    word or two.
    """

    low: float
    high: float
    why: str = ""


class Targets(NamedTuple):
    """What each reading should be and may be.

    ``parallel``: how far track bar and drag link may be out of parallel, rad.
    """

    wanted: Mapping[str, float]
    window: Mapping[str, Window]
    parallel: float


class ReadingVerdict(NamedTuple):
    """The verdict on one reading: "ok", "out", "not read" or "wild" (read it again: nothing likely
    explains it); ``why`` in words.
    """

    name: str
    wanted: float
    read: float | None
    window: Window
    word: str
    why: str = ""

    @property
    def off(self) -> float:
        """Reading less what is wanted, mm or rad; 0 where it was not read."""
        return 0.0 if self.read is None else self.read - self.wanted

    @property
    def sentence(self) -> str:
        """What was read and what is needed, for a list of what keeps the truck from being welded.

        Its title alone where it was not read.
        """
        asked = BY[self.name]
        if self.word == "not read":
            return asked.title
        return (
            f"{asked.title} {shown(self.read or 0.0, asked.kind)},"
            f" needed {shown(self.wanted, asked.kind)}" + (f" ({self.why})" if self.why else "")
        )


def shown(value: float, kind: str) -> str:
    """A value as read: sixteenths or the tape's millimeters, or tenths of a degree.

    ``value`` mm or rad, ``kind`` "length" or "angle".

    >>> shown(4.56 * DEG, "angle")
    '4.6 deg'
    """
    return (
        units.show(value, "length")
        if kind == "length"
        else f"{round(value / DEG, 1) + 0.0:.1f} deg"
    )


def signed(name: str, value: float) -> str:
    """A signed difference of a reading with its unit, in the reader's own.

    ``name``: a name of ``ASKED``, else KeyError; ``value`` mm or rad.
    """
    shown = reader.KINDS[reader.reader()][BY[name].kind]
    return f"{round(value / shown.factor, shown.places) + 0.0:+.{shown.places}f} {shown.unit}"


def limit_words(asked: SetdownReading, targets: Targets | None) -> str:
    """How far off a reading may be, on its own and against its neighbor, as a sheet prints it.

    ``targets``: of the truck; without them the limit alone, either way.
    """
    words = window_words(asked, targets)
    if targets is None:
        return words
    for pair in PAIRS:
        if pair.two == asked.name and pair.one in targets.wanted:
            words += f", at most {most_words(pair.most(targets), asked.kind)} {pair.words}"
    return words


def window_words(asked: SetdownReading, targets: Targets | None) -> str:
    """How far off a reading may be on its own: either way, or from where to where.

    ``targets``: of the truck; without them the limit of ``asked``.
    """
    if targets is None or asked.name not in targets.window:
        return f"± {most_words(asked.limit, asked.kind)}"
    window, wanted = targets.window[asked.name], targets.wanted[asked.name]
    if abs((window.high - wanted) - (wanted - window.low)) < SAME:
        return f"± {most_words(window.high - wanted, asked.kind)}"
    return f"{shown(window.low, asked.kind)} to {shown(window.high, asked.kind)}"


def most_words(value: float, kind: str) -> str:
    """A limit: sixteenths, or hundredths of a degree where tenths would round it.

    ``value`` mm or rad, ``kind`` "length" or "angle".

    >>> most_words(0.25 * DEG, "angle"), most_words(0.5 * DEG, "angle")
    ('0.25 deg', '0.5 deg')
    """
    return (
        shown(value, "length")
        if kind == "length"
        else f"{value / DEG:.2f}".rstrip("0").rstrip(".") + " deg"
    )


def judge(
    targets: Targets,
    read: Mapping[str, float],
    wild: Iterable[str] = (),
) -> tuple[ReadingVerdict, ...]:
    """A verdict on everything asked of this truck, in the order of the sheet.

    ``read``: reading -> value, internal units; ``wild``: names nothing likely explains.
    """
    rows = {}
    odd = set(wild)
    for asked in ASKED:
        if asked.name not in targets.wanted:
            continue
        value, window = read.get(asked.name), targets.window[asked.name]
        row = ReadingVerdict(asked.name, targets.wanted[asked.name], value, window, "ok")
        room = SLACK[asked.kind] + SAME
        if value is None:
            row = row._replace(word="not read")
        elif asked.name in odd:
            row = row._replace(
                word="wild", why="nothing likely explains it beside the others: read it again"
            )
        elif not window.low - room <= value <= window.high + room:
            off = signed(asked.name, value - targets.wanted[asked.name])
            why = f"{off}, allowed {window_words(asked, targets)}"
            row = row._replace(word="out", why=why + (f": {window.why}" if window.why else ""))
        rows[asked.name] = row
    _pairs(targets, rows)
    return tuple(rows.values())


class _Pair(NamedTuple):
    """Two readings that must agree besides.

    ``words``: after how much, as "0.5 deg from the left"; ``level``: they should be equal, else as
    far apart as designed.
    """

    one: str
    two: str
    words: str
    most: Callable[[Targets], float]
    level: bool


def _half_window(targets: Targets) -> float:
    window = targets.window["coil.left"]
    return (window.high - window.low) / 4


PAIRS = (
    _Pair("caster.left", "caster.right", "from the left", lambda t: CROSS, True),
    _Pair("bar", "drag", "from parallel with the track bar", lambda t: t.parallel, True),
    _Pair("coil.left", "coil.right", "from the left", _half_window, False),
)


def _pairs(targets: Targets, rows: dict[str, ReadingVerdict]) -> None:
    """What must agree with each other besides: both casters, drag link and track bar, coils."""
    for pair in PAIRS:
        first, second = rows.get(pair.one), rows.get(pair.two)
        if (
            first is None
            or second is None
            or first.read is None
            or second.read is None
            or second.word != "ok"
        ):
            continue
        kind = BY[pair.one].kind
        off = second.read - first.read - (0.0 if pair.level else second.wanted - first.wanted)
        if abs(off) > pair.most(targets) + SLACK[kind]:
            most = most_words(pair.most(targets), kind)
            why = f"{shown(abs(off), kind)} {pair.words}, allowed {most}"
            rows[pair.two] = second._replace(word="out", why=why)


def stands(rows: Iterable[ReadingVerdict]) -> bool:
    """Whether everything was read and nothing is out."""
    return all(row.word == "ok" for row in rows)


def not_right(rows: Iterable[ReadingVerdict]) -> str:
    """One sentence naming everything out, everything to read again and everything not read; empty
    if the truck stands right.
    """
    rows = list(rows)
    said = []
    for word, words in (("out", "out"), ("wild", "to be read again"), ("not read", "not read")):
        named = [row.sentence for row in rows if row.word == word]
        if named:
            said.append(f"{words}: {'; '.join(named)}")
    return ". ".join(said)
