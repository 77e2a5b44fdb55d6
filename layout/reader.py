"""Whose units screen and paper speak: a shop that works in millimeters reads millimeters
everywhere; and whose words of the trade its sheets and pages do.

The reader is set once, where a command knows its job and shop, and is asked wherever a number is
printed. It never touches a value: inside stays mm, N, MPa, rad. JSON and CSV name their unit in
the row, and take the reader's.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from enum import StrEnum
from typing import NamedTuple


class System(StrEnum):
    """The two families of units a shop works in."""

    INCH = "in"
    METRIC = "mm"


class PrintedAs(NamedTuple):
    """How one kind of quantity is printed: unit, internal units in one of it, decimals."""

    unit: str
    factor: float
    places: int


ROUNDING = 1e-9
"""What is added to a number before it is rounded: mm made inches miss their last five by less."""
_DEG = 0.017453292519943295
_LBF = 4.4482216152605
_IN = 25.4
_ANGLE = PrintedAs("deg", _DEG, 1)
KINDS: dict[System, dict[str, PrintedAs]] = {
    System.INCH: {
        "length": PrintedAs("in", _IN, 2),
        "angle": _ANGLE,
        "force": PrintedAs("lbf", _LBF, 0),
        "rate": PrintedAs("lbf/in", _LBF / _IN, 0),
        "torsion": PrintedAs("in*lbf/deg", _IN * _LBF / _DEG, 1),
        "mass": PrintedAs("lb", 0.45359237, 1),
        "stress": PrintedAs("ksi", 1000 * _LBF / _IN**2, 1),
        "moment": PrintedAs("lbf*ft", 12 * _IN * _LBF, 0),
        "section": PrintedAs("in3", _IN**3, 2),
        "angle per length": PrintedAs("deg/in", _DEG / _IN, 2),
        "count": PrintedAs("", 1.0, 2),
    },
    System.METRIC: {
        "length": PrintedAs("mm", 1.0, 1),
        "angle": _ANGLE,
        "force": PrintedAs("N", 1.0, 0),
        "rate": PrintedAs("N/mm", 1.0, 1),
        "torsion": PrintedAs("N*m/deg", 1000.0 / _DEG, 2),
        "mass": PrintedAs("kg", 1.0, 2),
        "stress": PrintedAs("MPa", 1.0, 0),
        "moment": PrintedAs("N*m", 1000.0, 0),
        "section": PrintedAs("cm3", 1000.0, 1),
        "angle per length": PrintedAs("deg/mm", _DEG, 3),
        "count": PrintedAs("", 1.0, 2),
    },
}
"""Pound 0.45359237 kg and inch 25.4 mm, both exact (international yard and pound, 1959)."""
US = "US"
"""The words everything is said in until it reaches paper."""


class Speech(NamedTuple):
    """Whose words of the trade sheets and pages speak, and what was typed and so stays as it is."""

    terms: str = US
    kept: tuple[str, ...] = ()


_SPEECH: ContextVar[Speech] = ContextVar("speech", default=Speech())  # noqa: B039  # never changed
_READER: ContextVar[System] = ContextVar("reader", default=System.INCH)


def reader() -> System:
    """Who reads now."""
    return _READER.get()


def metric() -> bool:
    """Whether the reader works in millimeters."""
    return _READER.get() is System.METRIC


def read_in(system: System) -> None:
    """From here on this command prints for ``system``."""
    _READER.set(system)


@contextmanager
def reading_in(system: System) -> Iterator[None]:
    """Prints for ``system`` inside the block, for whoever it was before afterwards."""
    before = _READER.set(system)
    try:
        yield
    finally:
        _READER.reset(before)


def speech() -> Speech:
    """Whose words are spoken now."""
    return _SPEECH.get()


def speak(terms: str, kept: Iterable[str] = ()) -> None:
    """From here on sheets and pages of this command speak ``terms``, but for what was typed."""
    typed = {each.strip() for each in kept if each.strip()} if terms != US else ()
    _SPEECH.set(Speech(terms, tuple(sorted(typed))))


@contextmanager
def speaking(terms: str, kept: Iterable[str] = ()) -> Iterator[None]:
    """Speaks ``terms`` inside the block, whatever was spoken before afterwards."""
    before = _SPEECH.get()
    speak(terms, kept)
    try:
        yield
    finally:
        _SPEECH.set(before)


class Voice(NamedTuple):
    """All that is put in where text is printed: whose units, whose words. What is kept of a sheet
    is kept by it, and what prints elsewhere takes it along.
    """

    reads: System
    speaks: Speech


def voice() -> Voice:
    """That of now."""
    return Voice(reader(), speech())


def take(heard: Voice) -> None:
    """From here on this command prints so."""
    _READER.set(heard.reads)
    _SPEECH.set(heard.speaks)


def unit(kind: str) -> str:
    """The reader's unit of a kind of quantity; KeyError for a kind nobody prints."""
    return KINDS[_READER.get()][kind].unit


def away(exact: float) -> float:
    """A number a hair further from zero, so that a five at its end is rounded up."""
    return exact + math.copysign(ROUNDING, exact)


def number(value: float, kind: str, places: int | None = None) -> str:
    """An internal value as the reader's number, without its unit; never "-0".

    A five is rounded away from zero, as on the rack: 3/16 in is 0.188 wherever it stands.

    >>> number(25.4, "length"), number(6.894757, "stress"), number(4.7625, "length", 3)
    ('1.00', '1.0', '0.188')
    """
    shown = KINDS[_READER.get()][kind]
    text = f"{away(value / shown.factor):.{shown.places if places is None else places}f}"
    return text.lstrip("-") if float(text) == 0 else text


def measure(value: float, kind: str, places: int | None = None) -> str:
    """An internal value as the reader's number with its unit.

    >>> measure(4448.2, "force")
    '1000 lbf'
    """
    return f"{number(value, kind, places)} {unit(kind)}".rstrip()


def length(mm: float) -> str:
    """A length by decimals, with its unit.

    >>> length(31.75)
    '1.25 in'
    """
    return measure(mm, "length")


def fine(mm: float) -> str:
    """A length somebody follows by hand or cuts to a line: inches to 0.001, mm to 0.01."""
    return measure(mm, "length", 2 if metric() else 3)


def step() -> float:
    """The reader's finest step on a tape, mm: 1/16 in or 0.5 mm."""
    return 0.5 if metric() else _IN / 16


def valued(value: float, kind: str) -> float:
    """An internal value in the reader's unit, for rows that name the unit beside."""
    return value / KINDS[_READER.get()][kind].factor


def system_of(settings_unit: str, job_length: str) -> System:
    """The reader of a job: the shop's own unit if its settings say one, else the job's.

    Parameters
    ----------
    settings_unit
        ``unit`` of the shop's settings, empty where there are none.
    job_length
        ``units.length`` of the job file, empty where it has none.
    """
    word = (settings_unit or job_length).strip().lower()
    return System.METRIC if word in {"mm", "cm", "m"} else System.INCH
