"""Rows of the log sheets, from records, events and the recorded set-down of a chassis."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from ...layout import reader, units
from ...parts.words import names
from . import log
from .store import Archive, Record

if TYPE_CHECKING:
    from ...parts.documents.log import Entered, Log, SetDown

AS_BUILT = "input/job.asbuilt.json"


def of(store: Archive, r: Record, level: str, more: Sequence[Mapping[str, Any]] = ()) -> Log:
    """The log of a stored revision with everything entered to it and to those before it; ``more``:
    an event about to be written.
    """
    kept = next((f["sha256"] for f in r.data["files"] if f["path"] == AS_BUILT), None)
    built = None if kept is None else json.loads(store.content(kept))
    before = []
    for e in store.records(r.data["chassis"]):
        before.append((e.data, [x.data for x in store.events(e.data["chassis"], e.letter)]))
        if e.letter == r.letter:
            break
    before[-1][1].extend(more)  # type: ignore[arg-type]
    return gathered(r.data, built, before, level)


def gathered(
    record: Mapping[str, Any],
    built: Mapping[str, Any] | None,
    before: Iterable[tuple[Mapping[str, Any], Sequence[Mapping[str, Any]]]],
    level: str,
) -> Log:
    """``built``: the recorded set-down, None without one; ``before``: each record up to this one
    with its events.
    """
    from ...parts.documents.log import Entered, Log
    from .index import steel

    rows: dict[str, list[Entered]] = {k: [] for k in ("heat", "weld", "bolt", "concession", "note")}
    signed: list[Entered] = []
    made: list[tuple[str, str, str]] = []
    carried: dict[tuple[str, str], list[str]] = {}
    for data, events in before:
        made = [
            (names.part(part), where, ", ".join(heats))
            for part, where, heats in steel(data, events, carried)
        ]
        letter = str(data["letter"])
        first = str(data.get("level", "tack"))
        signed.append(
            Entered(
                first,
                "released",
                letter,
                data.get("by", ""),
                data.get("date", ""),
                data.get("note", ""),
            )
        )
        for x in log.rows(events):
            if x.kind == "signed":
                signed.append(Entered(x.value, "signed", letter, x.by, x.date, x.note))
            else:
                rows[x.kind].append(
                    Entered(names.sentence(x.what), x.value, letter, x.by, x.date, x.note)
                )
    welds = {w for v in record.get("welds", {}).values() for w in v}
    return Log(
        str(record["letter"]),
        level,
        None if built is None else set_downs(built),
        stands(built),
        made,
        rows["heat"],
        rows["weld"],
        rows["bolt"],
        rows["concession"],
        rows["note"],
        signed,
        sorted(welds, key=lambda w: int(w[1:])),
        list(record.get("bolts", ())),
    )


def stands(built: Mapping[str, Any] | None) -> str:
    """Why the last set-down is not within its limits; empty if it is."""
    from .set_down import not_down

    return not_down(None if built is None else json.dumps(built).encode())


def set_downs(built: Mapping[str, Any]) -> list[SetDown]:
    """Every recorded set-down in words."""
    from ...parts.documents.log import SetDown

    found = built["set_downs"]
    return [
        SetDown(
            [
                (
                    _title(name),
                    _shown(name, float(v)),
                    (
                        f"{float(built['errors'][name]):+.2f}"
                        if n == len(found) - 1 and name in built["errors"]
                        else ""
                    ),
                )
                for name, v in s["readings"].items()
            ],
            [
                (
                    _plain(name),
                    f"{'+' if float(v) >= 0 else '-'}{reader.length(abs(float(v)) * units.IN)}",
                )
                for name, v in s["moved"].items()
            ],
        )
        for n, s in enumerate(found)
    ]


def _plain(name: str) -> str:
    head, _, side = name.partition(".")
    return f"{head.replace('_', ' ')}, {side}" if side else head.replace("_", " ")


def _title(name: str) -> str:
    from ...layout.setdown import BY

    return BY[name].title if name in BY else _plain(name)


def _shown(name: str, value: float) -> str:
    from ...layout.setdown import BY

    if name in BY and BY[name].kind == "angle":
        return f"{value:.1f} deg"
    return units.show(value * units.IN, "length")
