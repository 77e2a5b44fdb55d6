"""Rows of the log sheets, from records, events and the recorded set-down of a chassis."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from ...layout import reader, units
from ...parts.model.terms import Level
from ...parts.words import names
from . import entries
from .as_built import AsBuilt
from .facts import RecordFacts
from .record import Record, released_at
from .store import Archive

if TYPE_CHECKING:
    from ...parts.documents.log import Entered, Log, SetDown

AS_BUILT = "input/job.asbuilt.json"
"""Where a release keeps the recorded set-down."""
TYPED = "input/job.down.toml"
"""Where it keeps the set-down file that was read."""

History = Iterable[tuple[RecordFacts, Sequence[RecordFacts]]]
"""Records, oldest first, each with its events."""


def of(store: Archive, record: Record, level: Level, more: Sequence[RecordFacts] = ()) -> Log:
    """The log of a stored revision with everything entered to it and to those before it; ``more``:
    an event about to be written.
    """
    kept = record.file(AS_BUILT)
    built = None if kept is None else json.loads(store.content(kept))
    return gathered(record.data, built, _until(store, record, more), level)


def _until(store: Archive, record: Record, more: Sequence[RecordFacts]) -> History:
    listing = store.listing(record.chassis)
    for earlier in store.each(record.chassis):
        events = [event.data for event in store.events(record.chassis, earlier.letter, listing)]
        if earlier.letter == record.letter:
            yield earlier.data, [*events, *more]
            return
        yield earlier.data, events


def gathered(record: RecordFacts, built: AsBuilt | None, history: History, level: Level) -> Log:
    """``built``: the recorded set-down, None without one; ``history``: up to this record."""
    from ...parts.documents.log import Concession, Entered, Log
    from .index import numbered, steel

    rows: dict[str, list[Entered]] = {
        kind: [] for kind in ("heat", "weld", "bolt", "inspection", "alignment", "note")
    }
    conceded: list[Concession] = []
    signed: list[Entered] = []
    made: list[tuple[str, str, str]] = []
    carried: dict[tuple[str, str], list[str]] = {}
    for data, events in history:
        called = {row["part"]: names.part(numbered(row)) for row in data["parts"]}
        made = [
            (called[part], where, ", ".join(heats))
            for part, where, heats in steel(data, events, carried)
        ]
        letter = str(data["letter"])
        signed += _signed(data, events)
        for entry in entries.rows(events):
            if entry.kind == "concession":
                told = (names.sentence(entry.what), entry.measured, entry.rule, entry.decision)
                conceded.append(Concession(*told, letter, entry.by, entry.date, entry.note))
            elif entry.kind != "signed":
                what = called.get(entry.what) if entry.kind == "heat" else None
                rows[entry.kind].append(
                    Entered(what or names.sentence(entry.what), entry.value, letter, *entry[3:6])
                )
    welds = {weld for numbers in record.get("welds", {}).values() for weld in numbers}
    return Log(
        revision=str(record["letter"]),
        level=level,
        set_downs=None if built is None else set_downs(built),
        stands=stands(built),
        steel=made,
        heats=rows["heat"],
        welds=rows["weld"],
        bolts=rows["bolt"],
        inspected=rows["inspection"],
        aligned=rows["alignment"],
        concessions=conceded,
        notes=rows["note"],
        signed=signed,
        welds_of=sorted(welds, key=lambda weld: int(weld[1:])),
        bolts_of=list(record.get("bolts", ())),
    )


def _signed(record: RecordFacts, events: Sequence[RecordFacts]) -> Iterator[Entered]:
    """The release of a record and each signature since, with what stayed open and why it may."""
    from ...parts.documents.log import Entered

    letter = str(record["letter"])
    told = tuple(str(record.get(key, "")) for key in ("by", "date", "note"))
    yield Entered(released_at(record), "released", letter, *told)
    yield from _open(record, letter)
    for event in events:
        if event["kind"] == "signed":
            told = tuple(str(event.get(key, "")) for key in ("by", "date", "note"))
            yield Entered(str(event["value"]), "signed", letter, *told)
            yield from _open(event, letter)


def _open(data: RecordFacts, letter: str) -> Iterator[Entered]:
    from ...parts.documents.log import Entered

    for row in data.get("open", ()):
        yield Entered(
            row["subject"], "accepted as it is", letter, row["by"], row["date"], row["why"]
        )


def stands(built: AsBuilt | None) -> str:
    """Why the last set-down is not within its limits; empty if it is."""
    from .set_down import not_down

    return not_down(None if built is None else json.dumps(built).encode())


def set_downs(built: AsBuilt) -> list[SetDown]:
    """Every recorded set-down in words; what is off only of the last."""
    from ...parts.documents.log import SetDown

    found = built["set_downs"]
    made = []
    for number, one in enumerate(found, 1):
        errors = built["errors"] if number == len(found) else {}
        made.append(
            SetDown(
                [
                    (
                        _title(name),
                        _shown(name, float(value)),
                        f"{float(errors[name]):+.2f}" if name in errors else "",
                    )
                    for name, value in one["readings"].items()
                ],
                [(_plain(name), _signed_length(float(by))) for name, by in one["moved"].items()],
            )
        )
    return made


def _signed_length(inches: float) -> str:
    return f"{'+' if inches >= 0 else '-'}{reader.length(abs(inches) * units.IN)}"


def _plain(name: str) -> str:
    head, _, side = name.partition(".")
    return f"{head.replace('_', ' ')}, {side}" if side else head.replace("_", " ")


def _title(name: str) -> str:
    from ...layout.setdown import BY

    return BY[name].title if name in BY else _plain(name)


def _shown(name: str, value: float) -> str:
    """A reading of the set-down, kept in inches or degrees, as printed."""
    from ...layout.setdown import BY

    if name in BY and BY[name].kind == "angle":
        return f"{value:.1f} deg"
    return units.show(value * units.IN, "length")
