"""An archive of a chassis with two parts, and an event of it."""

from __future__ import annotations

from soapstone.cli.archive import record
from soapstone.cli.archive.letters import letter_of
from soapstone.cli.archive.part_letters import revise
from soapstone.cli.archive.record import Record
from soapstone.cli.archive.store import Archive


def add(store: Archive, chassis: str, n: int, files: dict[str, bytes] | None = None) -> Record:
    records = store.records(chassis)
    letter = letter_of(len(records))
    rows = [
        {
            "part": "CS1.L",
            "name": "coil-seat plate",
            "stock": "3/16 A36",
            "fingerprint": str(n),
            "hand": "L",
        },
        {
            "part": "AB1.L",
            "name": "arm bracket",
            "stock": "1/4 A36",
            "fingerprint": "same",
            "hand": "L",
        },
    ]
    letters, since = revise(rows, records[-1] if records else None, letter)
    record = {
        "chassis": chassis,
        "letter": letter,
        "before": records[-1].sha256 if records else "",
        "parts": [{**r, "revision": letters[r["part"]]} for r in rows],
        "changed": sorted((*since.shape, *since.come)),
        "gone": list(since.gone),
        "note": f"number {n}",
        "by": "nobody",
        "date": "2026-01-01",
        "level": "tack",
        "typed": {"spring.rate": str(n)},
        "values": {},
        "sheets": {"s1": ["CS1.L"]},
        "welds": {"CS1.L": ["W1", "W2"]},
    }
    return store.add(
        chassis,
        record,
        (
            files
            if files is not None
            else {
                "cut/a.dxf": f"plate {n}\n".encode(),
                "cut/b.dxf": b"tab\n",
                "input/job.toml": f"n = {n}\n".encode(),
            }
        ),
    )


EVENT = {
    "kind": "heat",
    "what": "s1",
    "value": "H9",
    "by": "nobody",
    "date": "2026-01-02",
    "note": "",
}


def released(path: str) -> bool:
    """Whether a file of the archive is a record or an event of T."""
    return path.startswith("T/") and bool(record.NAME.fullmatch(path[2:]))
