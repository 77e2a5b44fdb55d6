"""The one declaration of a job-file field, and the words it is written with.

``new``, the faults, the measuring sheet, its CSV and the README all read these rows. Limits are in
internal units; the constructors below take inches, degrees, pounds-force, as the trade reads them.
"""

from __future__ import annotations

import re
from typing import Literal, NamedTuple, TypedDict, Unpack

from .. import units
from ..quantities import SIDE_OF, SIDES, Key, Side

FieldKind = Literal[
    "length", "angle", "force", "rate", "torsion", "mass", "count", "word", "text", "date"
]
FieldRole = Literal["measured", "choice", "wanted"]
State = Literal["ride", "stand", "droop", "any", "said"]
STATES: tuple[str, ...] = ("ride", "stand", "droop")
TAPE = units.IN / 16
FINDER = 0.25 * units.DEG
CALLIPER = 0.005 * units.IN
WORD_KINDS = ("word", "text", "date")


class Field(NamedTuple):
    """One field of the job file.

    ``name``: table path, ``*`` for the number of a row in a list. ``yields``: order in which a
    choice or a wish gives way to a given too many, None = never. ``low``, ``high``, ``half_width``,
    ``default``: internal units. ``share``: half-width as a share of the value. ``state``: height
    state it is read in, "said" where whoever reads it says at which. ``needed``: owed if absent,
    where ``when`` holds ("name" given or "name=word") and no field of ``instead`` is given.
    ``tool``: "tape" or "finder" where it is read with one: [units] may say how well. ``desk``: on
    no sheet for the truck.
    """

    name: str
    kind: FieldKind
    sided: bool
    role: FieldRole
    yields: int | None
    low: float
    high: float
    half_width: float
    state: State
    sheet_code: str
    how: str
    remedy: str
    safety: bool
    words: tuple[str, ...] = ()
    default: float | None = None
    needed: bool = True
    share: float = 0.0
    when: str = ""
    instead: tuple[str, ...] = ()
    tool: str = ""
    desk: bool = False

    @property
    def table(self) -> str:
        """First table of the path: "axle" of "axle.lower_mount.x"."""
        return self.name.split(".", 1)[0]

    @property
    def at_truck(self) -> bool:
        """Whether it is asked for on sheets that go to the truck, not said at the desk alone."""
        return self.table not in ("job", "units") and not self.desk

    @property
    def is_word(self) -> bool:
        """Whether it is a word, a text or a day, not a number."""
        return self.kind in WORD_KINDS

    def sides(self) -> tuple[Side, ...]:
        """The sides it is read on: left and right, or "C" where they are one."""
        return SIDES if self.sided else ("C",)

    def range_text(self, unit: str = "") -> str:
        """Allowed values in ``unit`` (default inches, degrees, ...), or the allowed words."""
        if self.words:
            return " | ".join(self.words)
        if self.kind == "date":
            return "a day, as 2024-05-17"
        if self.kind == "text":
            return f"up to {int(self.high)} characters"
        if self.kind == "word":
            return self.remedy
        try:
            low, high = (units.show(limit, self.kind, unit) for limit in (self.low, self.high))
        except units.UnitError:  # the unit itself is the fault, told beside this one
            low, high = (units.show(limit, self.kind) for limit in (self.low, self.high))
        return f"{low} .. {high}"


def _scale(kind: FieldKind) -> float:
    return 1.0 if kind == "count" else units.factor(units.SHORT[kind][0], kind)


class More(TypedDict, total=False):
    """What a field may say beside its name, code, range and how it is read; see ``Field``.

    ``half`` and ``default`` in the unit the range is given in, inches, degrees, pounds.
    """

    sided: bool
    role: FieldRole
    yields: int | None
    half: float | None
    state: State
    remedy: str
    safety: bool
    default: float | None
    tool: str
    desk: bool
    needed: bool
    share: float
    when: str
    instead: tuple[str, ...]


def _measure(
    kind: FieldKind, name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]
) -> Field:
    scale = _scale(kind)
    role = more.get("role", "measured")
    usual = {"length": TAPE, "angle": FINDER}.get(kind, 0.0) if role == "measured" else 0.0
    half = more.get("half")
    tool = {"length": "tape", "angle": "finder"}.get(kind, "") if role == "measured" else ""
    default = more.get("default")
    return Field(
        name=name,
        kind=kind,
        sided=more.get("sided", False),
        role=role,
        yields=more.get("yields"),
        low=low * scale,
        high=high * scale,
        half_width=usual if half is None else half * scale,
        state=more.get("state", "any"),
        sheet_code=code,
        how=how,
        remedy=more.get("remedy", "read it again and type it with its unit"),
        safety=more.get("safety", False),
        default=None if default is None else default * scale,
        tool=more.get("tool", tool if half is None else ""),
        needed=more.get("needed", True),
        share=more.get("share", 0.0),
        when=more.get("when", ""),
        instead=more.get("instead", ()),
    )


def length(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """A length field; ``low``, ``high``, ``half``, ``default`` in inches, kept in mm.

    ``more``: any further field of ``Field`` by name; without ``half`` a measured length is as good
    as the tape.

    >>> length("a.b", "A1", 0, 2, "how").high
    50.8
    """
    return _measure("length", name, code, low, high, how, **more)


def angle(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """An angle field; ``low``, ``high``, ``half``, ``default`` in degrees, kept in radians.

    ``more``: any further field of ``Field`` by name; without ``half`` a measured angle is as good
    as the angle finder.
    """
    return _measure("angle", name, code, low, high, how, **more)


def force(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """A force field; ``low``, ``high``, ``half``, ``default`` in lbf, kept in N.

    ``more``: any further field of ``Field`` by name; without ``half`` it has no plus-minus.
    """
    return _measure("force", name, code, low, high, how, **more)


def rate(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """A spring-rate field; numbers in lbf/in, kept in N/mm; else as ``force``."""
    return _measure("rate", name, code, low, high, how, **more)


def torsion(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """A torsion-rate field; numbers in in*lbf/deg, kept in N mm/rad; else as ``force``."""
    return _measure("torsion", name, code, low, high, how, **more)


def count(name: str, code: str, low: float, high: float, how: str, **more: Unpack[More]) -> Field:
    """A plain number: threads per inch, coils, a share; else as ``force``, without unit."""
    return _measure("count", name, code, low, high, how, **more)


def word(name: str, code: str, words: tuple[str, ...], how: str, **more: Unpack[More]) -> Field:
    """One of ``words``."""
    return _wordlike(
        kind="word",
        name=name,
        code=code,
        how=how,
        limit=40,
        usual="use one of the words allowed",
        words=words,
        **more,
    )


def text(name: str, code: str, limit: int, how: str, **more: Unpack[More]) -> Field:
    """Free text up to ``limit`` characters on one line."""
    return _wordlike("text", name, code, how, limit, "shorten it, one line", **more)


def date(name: str, code: str, how: str, **more: Unpack[More]) -> Field:
    """A day, ISO 8601 (2024-05-17)."""
    usual = "write it as year-month-day, 2024-05-17"
    return _wordlike("date", name, code, how, 10, usual, **more)


def _wordlike(
    kind: FieldKind,
    name: str,
    code: str,
    how: str,
    limit: float,
    usual: str,
    words: tuple[str, ...] = (),
    **more: Unpack[More],
) -> Field:
    """A field that holds no number; ``usual``: its remedy where none is given."""
    return Field(
        name=name,
        kind=kind,
        sided=more.get("sided", False),
        role=more.get("role", "measured"),
        yields=None,
        low=0,
        high=limit,
        half_width=0.0,
        state="any",
        sheet_code=code,
        how=how,
        remedy=more.get("remedy", usual),
        safety=more.get("safety", False),
        words=words,
        needed=more.get("needed", False),
        when=more.get("when", ""),
        instead=more.get("instead", ()),
        desk=more.get("desk", False),
    )


def point(
    base: str,
    codes: tuple[str, str, str],
    box: tuple[tuple[float, float], ...],
    what: str,
    *,
    origin: str = "the axle center, pinion level",
    y_says: str = "from the center line, left is +",
    z_says: str = "",
    **more: Unpack[More],
) -> tuple[Field, ...]:
    """Three length fields ``base``.x, .y, .z of one point.

    ``box``: their ranges, inches; ``what`` names the point; ``origin``: what x and z are read
    from; ``y_says``, ``z_says``: how else y or z is read.
    """
    says = {
        "x": f"ahead (+) of or behind (-) {origin}",
        "y": y_says,
        "z": z_says or f"above (+) or below (-) {origin}",
    }
    return tuple(
        length(f"{base}.{axis}", code, low, high, f"{what}: {says[axis]}", **more)
        for axis, code, (low, high) in zip("xyz", codes, box, strict=True)
    )


_ROW = re.compile(r"\.\d+(?=\.)")


def pattern(name: str) -> str:
    """A field's name with row numbers as a star: the name of its declaration.

    >>> pattern("frame.station.2.outer")
    'frame.station.*.outer'
    """
    return _ROW.sub(".*", name)


def key_of(path: str) -> Key:
    """The key of a path of the job file; "C" where it does not end in a side.

    >>> key_of("frame.station.2.outer.left")
    Key(name='frame.station.2.outer', side='L')
    """
    head, _, last = path.rpartition(".")
    return Key(head, SIDE_OF[last]) if head and last in SIDE_OF else Key(path, "C")
