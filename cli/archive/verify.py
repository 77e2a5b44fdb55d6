"""Everything released hashed again: what the archive holds, and the copies in ``out`` held against
it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

from ...layout.faults import Fault, SoapstoneError
from . import reissue as issue
from .store import LAST, Archive, damaged, digest


def check(
    store: Archive, chassis: str, say: Callable[[str], None] = lambda _: None
) -> Iterator[Fault]:
    """Re-hash everything a chassis has; each fault found."""
    yield from _list_of(store, chassis)
    try:
        records = store.records(chassis)
    except SoapstoneError as e:
        yield from e.faults
        return
    seen: set[str] = set()
    every: list[tuple[str, Mapping[str, str]]] = []
    for r in records:
        every += [(r.letter, f) for f in r.data["files"]]
        try:
            every += [
                (r.letter, f) for e in store.events(chassis, r.letter) for f in e.data["files"]
            ]
        except SoapstoneError as e:
            yield from e.faults
    for n, (letter, f) in enumerate(every, 1):
        if f["sha256"] in seen:
            continue
        seen.add(f["sha256"])
        say(f"{chassis} {letter}: file {n} of {len(every)}")
        try:
            store.content(f["sha256"])
        except SoapstoneError as e:
            yield e.faults[0]._replace(
                field=f"{chassis} {letter} {f['path']}: {e.faults[0].field.rpartition(': ')[2]}"
            )


def _list_of(store: Archive, chassis: str) -> Iterator[Fault]:
    path = store.folder / chassis / LAST
    if path.exists() and not store.last(chassis):
        yield damaged(
            f"{chassis} {LAST}",
            "cannot be read",
            "the hashes of its records",
            "bring it back from your copy of the archive; without a copy delete it: the next"
            " release makes it anew",
        ).faults[0]


def copies(
    store: Archive, chassis: str, out: Path, say: Callable[[str], None] = lambda _: None
) -> Iterator[Fault]:
    """Files of ``out/<chassis>/<letter>`` that are not as the archive has them: changed, or gone
    though the folder is there. What a signature or a reissue wrote over a released file is as good
    as the released one; files nobody released are left alone.
    """
    records = store.records(chassis)
    for n, r in enumerate(records):
        folder = out / chassis / r.letter
        if not folder.is_dir():
            continue
        say(f"{folder}")
        later = [x.letter for x in records[n + 1 :]]
        good: dict[str, set[str]] = {}
        events = [e.data["files"] for e in store.events(chassis, r.letter)]
        for f in (*r.data["files"], *(f for fs in events for f in fs)):
            if not f["path"].startswith("input/"):
                good.setdefault(f["path"], set()).add(f["sha256"])
        for path, allowed in sorted(good.items()):
            at = folder / path
            if not at.is_file():
                yield Fault(
                    str(at), "missing", "as it was released", AGAIN.format(chassis, r.letter)
                )
            elif digest(at.read_bytes()) not in allowed | _stamped(store, path, allowed, later):
                yield Fault(
                    str(at), "changed", "as it was released", AGAIN.format(chassis, r.letter)
                )


AGAIN = "do not use it; write it again: soapstone reissue {} {}"


def _stamped(store: Archive, path: str, allowed: set[str], later: list[str]) -> set[str]:
    """Hashes of a PDF as reissue writes it once a later revision has superseded it."""
    if not path.endswith(".pdf"):
        return set()
    return {
        digest(issue.over({path: store.content(sha)}, issue.superseded(letter))[path])
        for sha in allowed
        for letter in later
    }
