"""What is entered to a released revision: heats, welds, bolts, concessions, notes.

One entry is one event, whole or not at all, however many rows it has; none replaces another.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, NamedTuple

from ...layout.faults import Fault
from ...parts.words.names import code, part

LAID = "laid and looked at"


class Row(NamedTuple):
    """One fact: "heat" of a sheet, stock or part; "weld"; "bolt" with its torque; "concession" of a
    part; "note"; "signed" for a level. Who, when, and why.
    """

    kind: str
    what: str
    value: str
    by: str
    date: str
    note: str


class Asked(NamedTuple):
    """The words of ``enter``, each option as often as it was given."""

    heat: Sequence[str] = ()
    sheet: Sequence[str] = ()
    part: Sequence[str] = ()
    weld: Sequence[str] = ()
    bolt: Sequence[str] = ()
    torque: str = ""
    concession: Sequence[str] = ()
    note: str = ""


def rows(events: Iterable[Mapping[str, Any]]) -> Iterator[Row]:
    """Every fact of a revision's events, oldest first; formats before 2 kept one an event.

    KeyError for what is no event.
    """
    for e in events:
        own = e["rows"] if e["kind"] == "entered" else [e]
        for r in own:
            what, value = str(r.get("what", "")), str(r.get("value", ""))
            kind = str(r["kind"])
            yield Row(
                kind, what, value, str(e["by"]), str(e.get("date", "")), str(e.get("note", ""))
            )


def heats(events: Iterable[Mapping[str, Any]]) -> dict[str, list[str]]:
    """Every heat number of each sheet, stock and part, in the order they were entered."""
    found: dict[str, list[str]] = {}
    for r in rows(events):
        if r.kind == "heat" and r.value not in found.setdefault(r.what, []):
            found[r.what].append(r.value)
    return found


def taken(asked: Asked, record: Mapping[str, Any]) -> tuple[list[dict[str, str]], list[Fault]]:
    """Rows to enter and everything that is wrong with what was asked; with any fault nothing is to
    be entered.
    """
    faults: list[Fault] = []
    welds = numbered(
        "--weld", asked.weld, {w for v in record.get("welds", {}).values() for w in v}, faults
    )
    bolts = numbered("--bolt", asked.bolt, record.get("bolts"), faults)
    heated = [*_sheets(asked.sheet, record, faults), *_parts("--part", asked.part, record, faults)]
    used = _parts("--concession", asked.concession, record, faults)
    numbers = [h.strip() for h in asked.heat]
    faults += [
        Fault("--heat", h[:40], "a heat number as on the plate or its paper", "1 to 40 characters")
        for h in numbers
        if not 1 <= len(h) <= 40 or not h.isprintable()
    ]
    faults += _pairs(asked)
    if used and len(asked.note.strip()) < 3:
        faults.append(
            Fault(
                "--note",
                asked.note,
                "why the part is used though it is not as drawn",
                "say what was measured and who decided",
            )
        )
    found = [
        *({"kind": "heat", "what": w, "value": h} for h in numbers for w in heated),
        *({"kind": "weld", "what": w, "value": LAID} for w in welds),
        *({"kind": "bolt", "what": b, "value": asked.torque.strip()} for b in bolts),
        *({"kind": "concession", "what": p, "value": ""} for p in used),
    ]
    if not found and not faults and asked.note.strip():
        found = [{"kind": "note", "what": "", "value": ""}]
    if not found and not faults:
        allowed = (
            "--heat with --sheet or --part, --weld, --bolt with --torque, --concession or --note"
        )
        faults.append(Fault("enter", "", allowed, "say what to enter"))
    return found, faults


def _pairs(asked: Asked) -> list[Fault]:
    """Options that need each other."""
    faults = []
    if bool(asked.heat) != bool(asked.sheet or asked.part):
        said = " ".join((*asked.heat, *asked.sheet, *asked.part))[:60]
        faults.append(
            Fault(
                "--heat",
                said,
                "with --sheet or --part, and they with --heat",
                "a heat number is of a sheet, a stock or a part",
            )
        )
    if bool(asked.bolt) != bool(asked.torque.strip()):
        faults.append(
            Fault(
                "--torque",
                asked.torque,
                "with --bolt, and --bolt with it",
                'say what the wrench was set to, such as --torque "120 lb-ft"',
            )
        )
    return faults


def numbered(
    option: str, words: Sequence[str], known: Iterable[str] | None, faults: list[Fault]
) -> list[str]:
    """Numbers such as "W12", runs such as "W1-W38", several with commas; each once, in order.

    ``known``: those the revision has, None where an earlier format did not keep them. Adds a fault
    for every word that is none, runs backward, or names what is not there.
    """
    letter = option[2].upper()
    have = None if known is None else set(known)
    top = max((int(k[1:]) for k in have or ()), default=0)
    allowed = f"{letter}1 .. {letter}{top}" if top else f"{letter}1, {letter}2, ..."
    found: dict[str, None] = {}
    for word in (w.strip() for words_ in words for w in words_.split(",")):
        m = re.fullmatch(
            rf"{letter}(\d{{1,5}})(?:\s*-\s*{letter}?(\d{{1,5}}))?", word, re.IGNORECASE
        )
        if m is None:
            faults.append(Fault(option, word[:20], allowed, "the number stands on the map"))
            continue
        low, high = int(m[1]), int(m[2] or m[1])
        if high < low:
            better = f"{letter}{high}-{letter}{low}"
            faults.append(
                Fault(option, word, "the lower number first", f"type {better} if that is meant")
            )
            continue
        if high - low > 5000:
            faults.append(Fault(option, word, allowed, "the number stands on the map"))
            continue
        run = [f"{letter}{n}" for n in range(low, high + 1)]
        strange = [r for r in run if have is not None and r not in have]
        if strange:
            remedy = (
                f"this revision has no {', '.join(strange[:8])}{' ...' if len(strange) > 8 else ''}"
            )
            faults.append(Fault(option, word, allowed, remedy))
        found |= dict.fromkeys(run)
    return list(found)


def _sheets(words: Sequence[str], record: Mapping[str, Any], faults: list[Fault]) -> list[str]:
    sheets = [*record.get("sheets", {}), *sorted({p.get("stock", "") for p in record["parts"]})]
    for w in words:
        if not w or w not in sheets:
            faults.append(
                Fault(
                    "--sheet",
                    w[:60],
                    ", ".join(filter(None, sheets))[:400],
                    "the names stand on the nests and in the material list",
                )
            )
    return list(dict.fromkeys(words))


def _parts(
    option: str, words: Sequence[str], record: Mapping[str, Any], faults: list[Fault]
) -> list[str]:
    """Part ids; "CS1" stands for both sides, a place's code for the part that goes there."""
    ids = [str(p["part"]) for p in record["parts"]]
    known = {
        i: {n for x in (i, *p.get("places", ())) for n in (x, x.rpartition(".")[0])}
        for i, p in zip(ids, record["parts"], strict=True)
    }
    found: dict[str, None] = {}
    for w in words:
        own = [i for i in ids if code(w) in known[i] or w in known[i]]
        if not own:
            faults.append(
                Fault(
                    option,
                    w[:20],
                    "a part of this revision",
                    f"such as {part(min(ids, default='none'))}",
                )
            )
        found |= dict.fromkeys(own)
    return list(found)
