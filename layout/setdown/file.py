"""The set-down file: what tape and finder read with the truck on its wheels, and what was moved
since the set-down before.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from pathlib import Path

from .. import units
from ..faults import Exit, Fault, SoapstoneError, no_toml, tables_of
from ..job.fields import nearest
from . import BY, Move, Round, SetdownTruck, limit_words, shown

RANGE = {"length": (0.0, 250 * units.IN), "angle": (-45 * units.DEG, 45 * units.DEG)}
SPAN = {"sideways": (-12 * units.IN, 12 * units.IN)}
_SIDE = {"L": "left", "R": "right"}


def down_path(job: Path) -> Path:
    """Where the set-down file of a job stands: beside it, whether there is one or not.

    >>> down_path(Path("one.toml")).name
    'one.down.toml'
    """
    return job.with_name(job.stem + ".down.toml")


def typed_name(move: str) -> str:
    """A move's name as it is typed.

    >>> typed_name("seat.L"), typed_name("seat.both")
    ('seat.left', 'seat.both')
    """
    head, _, side = move.partition(".")
    return f"{head}.{_SIDE.get(side, side)}"


def blank(truck: SetdownTruck, chassis: str) -> str:
    """A set-down file to fill in: everything the set-down sheet asks, in its order and words;
    nothing is filled in beforehand.
    """
    rows = [
        (
            f"# Set-down of {chassis}: tacked, on its wheels, full weight, tires at road pressure,"
            " rolled back and forth and bounced at each corner."
        ),
        (
            '# Write what tape and finder read between the quotes, as "25 1/4" or "4.6 deg"; what'
            " stays empty counts as not read."
        ),
        (
            "# What was not read keeps the truck from being welded. A second set-down is a second"
            " [[down]] with what was moved in between."
        ),
        "[[down]]",
        '# date = "2026-01-15"',
        '# by = "who"',
    ]
    for name, wanted in truck.targets.items():
        asked = BY[name]
        how = f" ({asked.how})" if asked.how else ""
        rows.append(
            f'"{name}" = ""   # {asked.title}{how}; needed {shown(wanted, asked.kind)},'
            f" {limit_words(asked, truck.asked)}"
        )
    rows += [
        "",
        "# [[down]]   # the second set-down",
        (
            '# moved = { "seat.left" = "-3/16 in", "upper.left" = "0.5 turns" }   # since the'
            " set-down before; up and longer are +"
        ),
    ]
    return "\n".join(rows) + "\n"


def _table(path: Path) -> dict[str, object]:
    """The file as TOML; SoapstoneError where there is none or it is no TOML."""
    try:
        text = path.read_bytes()
        return tables_of(text.decode("utf-8-sig"))
    except FileNotFoundError:
        remedy = "write one with --blank, fill it in at the truck"
        raise SoapstoneError(
            Exit.READINGS_OWED, [Fault(str(path), "", "a set-down file", remedy)]
        ) from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise SoapstoneError(
            Exit.JOB_FILE,
            [no_toml(path, text.decode("utf-8", "replace"), error)],
        ) from None


def read(path: Path, headers: Mapping[str, str], can: tuple[Move, ...]) -> tuple[Round, ...]:
    """Rounds of a set-down file, moves summed from the first.

    Raises SoapstoneError(JOB_FILE) with every fault.
    """
    table = _table(path)
    rows = table.get("down")
    faults: list[Fault] = [
        Fault(key, "", "[[down]]", "only set-downs stand in this file")
        for key in table
        if key != "down"
    ]
    rounds: list[Round] = []
    total: dict[str, float] = {}
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        faults.append(
            Fault("down", "", "one [[down]] a set-down", "write [[down]] above the readings")
        )
        rows = []
    for number, row in enumerate(rows, 1):
        total = {**total}
        for name, value in _moved(row.get("moved", {}), number, headers, can, faults):
            total[name] = total.get(name, 0.0) + value
        faults += _too_far(total, number, can)
        rounds.append(Round(_readings(row, number, headers, faults), total))
        if not rounds[-1].readings:
            faults.append(
                Fault(
                    f"down.{number}",
                    "",
                    "at least one reading",
                    "a set-down without a reading says nothing: write what was read between the"
                    " quotes",
                )
            )
    if faults or not rounds:
        raise SoapstoneError(
            Exit.JOB_FILE,
            faults or [Fault(str(path), "", "one [[down]] or more", "fill in what was read")],
        )
    return tuple(rounds)


def _too_far(total: Mapping[str, float], number: int, can: tuple[Move, ...]) -> list[Fault]:
    """Faults for what was moved further in all than anybody moves it."""
    return [
        Fault(
            f"down.{number}.moved.{typed_name(move.name)}",
            units.show(total[move.name], "length"),
            f"{units.show(2 * move.most, 'length')} either way in all",
            "nobody moves one that far: mend the number, or the job's readings",
        )
        for move in can
        if abs(total.get(move.name, 0.0)) > 2 * move.most
    ]


def _readings(
    row: Mapping[str, object], number: int, headers: Mapping[str, str], faults: list[Fault]
) -> dict[str, float]:
    found = {}
    for name, value in _flat(row):
        if name in ("date", "by", "with") or name.startswith("moved"):
            continue
        if isinstance(value, str) and not value.strip():
            continue
        if name not in BY:
            faults.append(
                Fault(
                    f"down.{number}.{name}"[:80],
                    str(value),
                    " ".join(BY),
                    nearest(name, tuple(BY)),
                )
            )
            continue
        kind = BY[name].kind
        try:
            length = units.parse(value, kind, headers.get(kind))
        except units.UnitError as error:
            faults.append(
                Fault(f"down.{number}.{name}", str(value), units.EXAMPLES[kind], str(error))
            )
            continue
        low, high = SPAN.get(name, RANGE[kind])
        if low <= length <= high:
            found[name] = length
        else:
            faults.append(
                Fault(
                    f"down.{number}.{name}",
                    str(value),
                    f"{units.show(low, kind)} .. {units.show(high, kind)}",
                    "read it again",
                )
            )
    return found


def _flat(row: Mapping[str, object]) -> list[tuple[str, object]]:
    rows: list[tuple[str, object]] = []
    for name, value in row.items():
        rows += (
            [(f"{name}.{side}", one) for side, one in value.items()]
            if isinstance(value, dict) and set(value) <= {"left", "right"}
            else [(name, value)]
        )
    return rows


def _moved(
    row: object, number: int, headers: Mapping[str, str], can: tuple[Move, ...], faults: list[Fault]
) -> list[tuple[str, float]]:
    by_name = {typed_name(move.name): move for move in can}
    found = []
    for name, value in row.items() if isinstance(row, dict) else ():
        move = by_name.get(name)
        if move is None:
            faults.append(
                Fault(
                    f"down.{number}.moved.{name}"[:80],
                    str(value),
                    " ".join(by_name),
                    nearest(name, tuple(by_name)),
                )
            )
            continue
        try:
            if move.unit == "turn":
                text = str(value).strip().removesuffix("turns").removesuffix("turn").strip()
                found.append((move.name, 4 * move.step * units.parse(text, "count")))
            else:
                found.append((move.name, units.parse(value, "length", headers.get("length"))))
        except units.UnitError as error:
            faults.append(
                Fault(
                    f"down.{number}.moved.{name}",
                    str(value),
                    "0.5 turns" if move.unit == "turn" else units.EXAMPLES["length"],
                    str(error),
                )
            )
    return found
