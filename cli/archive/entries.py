"""What is entered to a released revision: heats, welds, bolts, inspection, alignment, concessions,
notes.

One entry is one event, whole or not at all, however many rows it has; none replaces another.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import NamedTuple

from ...layout.faults import UNSEEN, Fault
from ...parts.words.names import code, part
from . import wrench
from .facts import RecordFacts

LAID = "laid and looked at"
HEAT_MOST = 40
"""Characters of a heat number: more is no heat number."""
REASON_LEAST = 3
"""Characters of a reason."""
LONGEST_RUN = 5000
"""Welds or bolts in one run: no truck has more, so a larger number is a slip of the finger."""
CONCEDED = ("measured", "rule", "decision")
"""What is said beside a concession, each an option and a key of its row."""
DECISIONS = ("use", "repair", "scrap")
WORDS_MOST = 120
"""Characters of what was measured, and of a rule: a sheet's cell takes no more on a few lines."""
NAMED = 8
"""Numbers named in one fault."""


class Entry(NamedTuple):
    """One fact: "heat" of a sheet, stock or part; "weld"; "bolt" with its torque; a line of
    the "inspection" or the "alignment" with what was found; "concession" of a part; "note";
    "signed" for a level. Who, when, and why; of a concession what was measured, the rule it is
    against and what was decided.
    """

    kind: str
    what: str
    value: str
    by: str
    date: str
    note: str
    measured: str = ""
    rule: str = ""
    decision: str = ""


class EntryRequest(NamedTuple):
    """The words of ``enter``, each option as often as it was given; ``conceded``: in the order of
    ``CONCEDED``.
    """

    heat: Sequence[str] = ()
    sheet: Sequence[str] = ()
    part: Sequence[str] = ()
    weld: Sequence[str] = ()
    bolt: Sequence[str] = ()
    torque: str = ""
    concession: Sequence[str] = ()
    note: str = ""
    conceded: tuple[str, str, str] = ("", "", "")


def rows(events: Iterable[RecordFacts]) -> Iterator[Entry]:
    """Every fact of a revision's events, oldest first; formats before 2 kept one an event, before 3
    one name and day an event.

    KeyError for what is no event.
    """
    for event in events:
        by, date, note = str(event["by"]), str(event.get("date", "")), str(event.get("note", ""))
        found: Sequence[RecordFacts | Mapping[str, str]]
        found = event["rows"] if event["kind"] == "entered" else [event]
        for row in found:
            what, value = str(row.get("what", "")), str(row.get("value", ""))
            who, when = str(row.get("by", by)), str(row.get("date", date))
            entry = Entry(str(row["kind"]), what, value, who, when, note)
            yield entry._replace(**{word: str(row.get(word, "")) for word in CONCEDED})


def decided(entry: Entry) -> str:
    """What was measured, against what, and what was decided, as far as it was said.

    >>> decided(Entry("concession", "CS1.L", "", "Pat", "", "")._replace(decision="use"))
    'decided: use'
    """
    said = ("measured ", entry.measured), ("against ", entry.rule), ("decided: ", entry.decision)
    return "; ".join(f"{word}{text}" for word, text in said if text)


def heats(events: Iterable[RecordFacts]) -> dict[str, list[str]]:
    """Every heat number of each sheet, stock and part, in the order they were entered."""
    found: dict[str, list[str]] = {}
    for entry in rows(events):
        if entry.kind == "heat" and entry.value not in found.setdefault(entry.what, []):
            found[entry.what].append(entry.value)
    return found


def taken(asked: EntryRequest, record: RecordFacts) -> tuple[list[dict[str, str]], list[Fault]]:
    """Rows to enter and everything that is wrong with what was asked; with any fault nothing is to
    be entered.
    """
    faults: list[Fault] = []
    welds = numbered(
        "--weld",
        asked.weld,
        {weld for numbers in record.get("welds", {}).values() for weld in numbers},
        faults,
    )
    bolts = numbered("--bolt", asked.bolt, record.get("bolts"), faults)
    heated = [*_sheets(asked.sheet, record, faults), *_parts("--part", asked.part, record, faults)]
    used = _parts("--concession", asked.concession, record, faults, placed=True)
    numbers = [heat.strip() for heat in asked.heat]
    faults += _wrong_heats(numbers)
    faults += _pairs(asked)
    conceded = _conceded(asked, faults)
    found = [
        *({"kind": "heat", "what": what, "value": heat} for heat in numbers for what in heated),
        *({"kind": "weld", "what": weld, "value": LAID} for weld in welds),
        *({"kind": "bolt", "what": bolt, "value": asked.torque.strip()} for bolt in bolts),
        *({"kind": "concession", "what": own, "value": "", **conceded} for own in used),
    ]
    if not found and not faults and asked.note.strip():
        found = [{"kind": "note", "what": "", "value": ""}]
    if not found and not faults:
        allowed = (
            "--heat with --sheet or --part, --weld, --bolt with --torque, --concession or --note"
        )
        faults.append(Fault("enter", "", allowed, "say what to enter"))
    return found, faults


def _conceded(asked: EntryRequest, faults: list[Fault]) -> dict[str, str]:
    """What stands beside a concession, as far as it was said; adds what is wrong with it."""
    told = zip(CONCEDED, asked.conceded, strict=True)
    said = {word: text.strip() for word, text in told if text.strip()}
    if not asked.concession:
        remedy = "say of which part it is, with --concession"
        faults += [Fault(f"--{word}", said[word][:60], "", remedy) for word in said]
        return {}
    if len(asked.note.strip()) < REASON_LEAST:
        faults.append(
            Fault(
                "--note",
                asked.note,
                "why a part that is not as drawn may stay, or what becomes of it",
                "say what was measured and who decided",
            )
        )
    faults += [
        Fault(f"--{word}", text[:60], f"up to {WORDS_MOST} characters on one line", "shorten it")
        for word, text in said.items()
        if len(text) > WORDS_MOST or not text.isprintable()
    ]
    if said.get("decision", DECISIONS[0]) not in DECISIONS:
        remedy = "use one of these words; why stands in --note"
        faults.append(Fault("--decision", said["decision"][:60], " | ".join(DECISIONS), remedy))
    return said


def _wrong_heats(numbers: Sequence[str]) -> list[Fault]:
    return [
        Fault(
            "--heat",
            heat[:HEAT_MOST],
            "a heat number as on the plate or its paper",
            f"1 to {HEAT_MOST} characters",
        )
        for heat in numbers
        if not 1 <= len(heat) <= HEAT_MOST or not heat.isprintable()
    ]


def _pairs(asked: EntryRequest) -> list[Fault]:
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
    if not asked.torque.isprintable():
        faults.append(Fault("--torque", asked.torque, "one line", UNSEEN))
    if bool(asked.bolt) != bool(asked.torque.strip()):
        faults.append(
            Fault(
                "--torque",
                asked.torque,
                "with --bolt, and --bolt with it",
                'say what the wrench was set to, such as --torque "120 lb-ft"',
            )
        )
    elif asked.bolt and asked.torque.isprintable():
        faults += wrench.wrong("--torque", asked.torque)
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
    top = max((int(number[1:]) for number in have or ()), default=0)
    allowed = f"{letter}1 .. {letter}{top}" if top else f"{letter}1, {letter}2, ..."
    found: dict[str, None] = {}
    for word in (own.strip() for option_words in words for own in option_words.split(",")):
        match = re.fullmatch(
            rf"{letter}(\d{{1,5}})(?:\s*-\s*{letter}?(\d{{1,5}}))?", word, re.IGNORECASE
        )
        if match is None:
            faults.append(Fault(option, word[:20], allowed, "the number stands on the map"))
            continue
        low, high = int(match[1]), int(match[2] or match[1])
        if high < low:
            better = f"{letter}{high}-{letter}{low}"
            faults.append(
                Fault(option, word, "the lower number first", f"type {better} if that is meant")
            )
            continue
        if high - low > LONGEST_RUN:
            faults.append(Fault(option, word, allowed, "the number stands on the map"))
            continue
        run = [f"{letter}{number}" for number in range(low, high + 1)]
        strange = [number for number in run if have is not None and number not in have]
        if strange:
            more = " ..." if len(strange) > NAMED else ""
            remedy = f"this revision has no {', '.join(strange[:NAMED])}{more}"
            faults.append(Fault(option, word, allowed, remedy))
        found |= dict.fromkeys(run)
    return list(found)


def _sheets(words: Sequence[str], record: RecordFacts, faults: list[Fault]) -> list[str]:
    stocks = sorted({row.get("stock", "") for row in record["parts"]})
    sheets = [*record.get("sheets", {}), *stocks]
    for word in words:
        if not word or word not in sheets:
            faults.append(
                Fault(
                    "--sheet",
                    word[:60],
                    ", ".join(filter(None, sheets))[:400],
                    "the names stand on the nests and in the material list",
                )
            )
    return list(dict.fromkeys(words))


def _parts(
    option: str,
    words: Sequence[str],
    record: RecordFacts,
    faults: list[Fault],
    *,
    placed: bool = False,
) -> list[str]:
    """Part ids; "CS1" stands for both sides, a place's code for the part that goes there.

    ``placed``: the places that were meant instead, since of several cut alike one may be used
    though it is not as drawn.
    """
    ids = [str(row["part"]) for row in record["parts"]]
    found: dict[str, None] = {}
    for word in words:
        meant = {
            own: [place for place in (own, *row.get("places", ())) if _is(place, word)]
            for own, row in zip(ids, record["parts"], strict=True)
        }
        own = [name for name in ids if meant[name]]
        if not own:
            faults.append(
                Fault(
                    option,
                    word[:20],
                    "a part of this revision",
                    f"such as {part(min(ids, default='none'))}",
                )
            )
        for name in own:
            found |= dict.fromkeys(meant[name] if placed else [name])
    return list(found)


def _is(place: str, word: str) -> bool:
    """Whether a word means a place: its own code, or the code both sides share."""
    return word == place.rpartition(".")[0] or place in (word, code(word))
