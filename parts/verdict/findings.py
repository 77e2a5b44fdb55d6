"""The one verdict: what is said of every part, pair, weld, bolt, reading and result, and of the
truck, worst first. Screen, exit code, page, sheets, manifest, cut folder, release and signature
read it from here; nothing else says whether something may be cut, built or signed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Literal, NamedTuple

from ...layout.faults import Exit
from ..model.verdict import Verdict, worst
from ..words.names import called, part, ranges

MOST = 12
"""Names on one line of the screen."""
FEW = 4
"""Readings that something waits for, in the headline."""
FindingKind = Literal["truck", "part", "pair", "weld", "bolt", "reading", "result"]
KINDS: tuple[FindingKind, ...] = ("truck", "part", "pair", "weld", "bolt", "reading", "result")
EXITS = {
    Verdict.CONFLICTS: Exit.NO_SOLUTION,
    Verdict.FAILS: Exit.CHECK_FAILS,
    Verdict.TOUCHES: Exit.CHECK_FAILS,
    Verdict.WAITS: Exit.READINGS_OWED,
}


class Finding(NamedTuple):
    """What is said of one thing: its verdict and, unless it is ok, why.

    ``id`` is the model's own name, ``title`` what people call it.
    """

    kind: FindingKind
    id: str
    title: str
    verdict: Verdict
    reason: str = ""

    def __str__(self) -> str:
        """As the screen lists it."""
        why = f": {_shortened(self.reason)}" if self.reason else ""
        if self.kind == "part":
            barred = " is not for cutting" if self.verdict.bars else ""
            return f"{called(self.title, self.id)}{barred}{why}"
        return f"{self.title}{why}"


class Judged:
    """Every finding of a truck, worst first, and what follows from them. One finding a thing."""

    def __init__(self, findings: Iterable[Finding], wanted: str = "", whole: bool = True) -> None:
        """``wanted``: the gap asked for, as printed.

        ``whole``: a truck was designed, not only the layout solved. ValueError for two findings of
        one thing.
        """
        rows = sorted(
            findings,
            key=lambda finding: (finding.verdict.rank, KINDS.index(finding.kind), finding.id),
        )
        self.findings = tuple(rows)
        self.wanted, self.whole = wanted, whole
        self._by = {(finding.kind, finding.id): finding for finding in rows}
        if len(self._by) != len(rows):
            raise ValueError("two findings of one thing")

    @cached_property
    def worst(self) -> Verdict:
        """The truck's own verdict: the worst of all findings, ok where there is none."""
        return worst(finding.verdict for finding in self.findings)

    @cached_property
    def counts(self) -> Mapping[Verdict, Mapping[str, int]]:
        """Verdict -> kind -> how many, worst first; only what there is."""
        found: dict[Verdict, dict[str, int]] = {}
        for finding in self.findings:
            row = found.setdefault(finding.verdict, {})
            row[finding.kind] = row.get(finding.kind, 0) + 1
        return found

    @property
    def exit_code(self) -> Exit:
        """The code every command ends with: 5 for a conflict, 6 for what fails or touches, 4 for
        what waits, else 0.
        """
        return EXITS.get(self.worst, Exit.DONE)

    @cached_property
    def headline(self) -> str:
        """One sentence for the head of screen, page and sheets: how many things have each verdict,
        worst first; of a designed truck also that no part fails or touches, where none does.
        """
        said = [
            _phrase(verdict, self.counts[verdict], self._of(verdict), self.wanted)
            for verdict in self.counts
        ]
        said = [phrase for phrase in said if phrase]
        if self.whole and not self.worst.refused:
            said.insert(0, "no part fails or touches")
        text = "; ".join(said) or "everything that was read is within its limits"
        return text[0].upper() + text[1:] + "."

    @property
    def first_failing(self) -> str:
        """Code of the first part that fails, its side left out, or the letters of one that cannot
        be made; empty where none does.
        """
        rows = (row for row in self.findings if row.verdict is Verdict.FAILS)
        return next((row.id.partition(".")[0] for row in rows if row.kind == "part"), "")

    def _of(self, verdict: Verdict) -> Sequence[Finding]:
        return [finding for finding in self.findings if finding.verdict is verdict]

    def of(self, id_: str, kind: FindingKind = "part") -> Finding:
        """The finding of one thing by the model's id ("CS1.L", a weld's or reading's id).

        KeyError for a thing that was not judged.
        """
        return self._by[kind, id_]

    def cut(self, part: str) -> tuple[bool, str]:
        """Whether a part may be cut, and if not its verdict with the reason ("" if it may).

        ``part``: its id. KeyError for a part that was not judged.
        """
        finding = self.of(part)
        return (
            not finding.verdict.bars,
            f"{finding.verdict}: {finding.reason}" if finding.verdict.bars else "",
        )

    def barred(self) -> Mapping[str, str]:
        """Part -> why it is not for cutting, worst first; families that could not be made among
        them.
        """
        return {
            finding.id: f"{finding.verdict}: {finding.reason}"
            for finding in self.findings
            if _bars(finding)
        }

    def to_sign(self) -> tuple[Finding, ...]:
        """What wants a name and a reason before anything is welded: waiting, not looked at, tight,
        to confirm, assumed.
        """
        return tuple(finding for finding in self.findings if finding.verdict.signed_for)

    def refuses(self) -> tuple[Finding, ...]:
        """What nobody can sign for, worst first: conflicts, what fails, what touches."""
        return tuple(finding for finding in self.findings if finding.verdict.refused)

    def lines(self, most: int = 24, named: int = MOST) -> list[str]:
        """Everything that is not ok, worst first, what shares a reason on one line; at most
        ``most`` lines, the last saying how many are left, and ``named`` names on a line.
        """
        groups: dict[tuple[Verdict, str, str], list[Finding]] = {}
        for finding in self.findings:
            if finding.verdict is not Verdict.OK:
                groups.setdefault((finding.verdict, finding.kind, finding.reason), []).append(
                    finding
                )
        said = [_line(verdict, fs, named) for (verdict, _, _), fs in groups.items()]
        if len(said) <= most:
            return said
        return [*said[: most - 1], f"and {len(said) - most + 1} lines more"]

    def as_json(self) -> dict[str, object]:
        """As verdict.json and ``check --json`` give it: verdict, headline, exit code, counts by
        verdict and kind, every finding that is not ok.
        """
        return {
            "verdict": self.worst.value,
            "headline": self.headline,
            "exit": int(self.exit_code),
            "counts": {key.value: dict(value) for key, value in self.counts.items()},
            "findings": [
                {**finding._asdict(), "verdict": finding.verdict.value}
                for finding in self.findings
                if finding.verdict is not Verdict.OK
            ],
        }


def _bars(finding: Finding) -> bool:
    return finding.kind == "part" and finding.verdict.bars


def _line(verdict: Verdict, fs: Sequence[Finding], named: int) -> str:
    """One line for findings with one reason."""
    if len(fs) == 1:
        return f"{verdict}: {fs[0]}"
    names = [
        part(finding.id)
        if finding.kind == "part"
        else finding.id
        if finding.kind == "result"
        else finding.title
        for finding in fs
    ]
    if fs[0].kind in ("weld", "bolt"):
        names = ranges(name.partition(",")[0] for name in names)
    parted = "; " if any("," in name for name in names) else ", "
    shown = parted.join(names[:named]) + (
        f" and {len(names) - named} more" if len(names) > named else ""
    )
    if fs[0].kind == "part" and len({finding.title for finding in fs}) == 1:
        shown = f"{fs[0].title} {shown}"
    barred = " are not for cutting" if fs[0].kind == "part" and verdict.bars else ""
    why = f": {_shortened(fs[0].reason)}" if fs[0].reason else ""
    return f"{verdict}: {shown}{barred}{why}"


ONE = {
    "part": ("part", "parts"),
    "weld": ("weld", "welds"),
    "bolt": ("bolt", "bolts"),
    "reading": ("reading", "readings"),
    "result": ("result", "results"),
    "truck": ("thing about the truck", "things about the truck"),
    "pair": ("pair", "pairs"),
}


def counted(counts: Mapping[str, int]) -> str:
    """How many of each kind in words, in the order of ``KINDS``: "3 parts and 1 weld"."""
    said = [f"{count} {ONE[kind][count != 1]}" for kind in KINDS if (count := counts.get(kind, 0))]
    return " and ".join([", ".join(said[:-1]), said[-1]] if len(said) > 1 else said)


def _together(rows: Sequence[Finding]) -> list[str]:
    """What of the truck waits, that for one reason together: "strength and travel wait for
    spring.rate". What one of them waits for is said once, and of many readings the first and how
    many more.
    """
    waits: dict[str, dict[str, None]] = {}
    other: dict[str, dict[str, None]] = {}
    for row in rows:
        if row.kind != "truck":
            continue
        title = row.title.partition(",")[0]
        start, _, keys = row.reason.partition("waits for ")
        held = waits if not start else other
        held.setdefault(title, {}).update(
            dict.fromkeys(keys.split(", ") if not start else [row.reason])
        )
    said = []
    for why, lead in ((waits, "for "), (other, "")):
        groups: dict[tuple[str, ...], list[str]] = {}
        for title, reasons in why.items():
            groups.setdefault(tuple(reasons), []).append(title)
        for named, names in groups.items():
            verb = ("waits " if len(names) == 1 else "wait ") if lead else ""
            said.append(f"{' and '.join(names)} {verb}{lead}{_some(named)}")
    return said


def _some(keys: Sequence[str], most: int = FEW) -> str:
    """At most ``most`` names, and how many more there are."""
    if len(keys) <= most:
        return ", ".join(keys)
    return f"{', '.join(keys[: most - 1])} and {len(keys) - most + 1} more"


def _shortened(reason: str) -> str:
    """A reason with the readings it waits for, and of many the first: `readings` lists them all."""
    start, waits, keys = reason.partition("waits for ")
    return f"{start}{waits}{_some(keys.split(', '), MOST)}"


def _assumed(counts: Mapping[str, int]) -> str:
    """What each count counts: readings nobody took, the same number on every screen; what else of
    the truck and its stock is assumed; the parts that rest on it. Empty for none.

    >>> _assumed({"reading": 9, "truck": 10, "part": 1})
    '9 readings assumed; 10 other things assumed; 1 part rests on what is assumed'
    """
    readings, things, parts = (counts.get(kind, 0) for kind in ("reading", "truck", "part"))
    said = []
    if readings:
        said.append(f"{readings} {'reading' if readings == 1 else 'readings'} assumed")
    if things:
        other = "other " if readings else ""
        said.append(f"{things} {other}{'thing' if things == 1 else 'things'} assumed")
    if parts:
        said.append(f"{parts} {'part rests' if parts == 1 else 'parts rest'} on what is assumed")
    return "; ".join(said)


def _phrase(
    verdict: Verdict, counts: Mapping[str, int], rows: Sequence[Finding], wanted: str
) -> str:
    """A verdict's share of the headline."""
    total = sum(counts.values())
    one = total == 1
    under = f" under the {wanted} needed" if wanted else " tighter than needed"
    says: Mapping[Verdict, Callable[[], str]] = {
        Verdict.CONFLICTS: lambda: f"{counted(counts)} {'conflicts' if one else 'conflict'}",
        Verdict.FAILS: lambda: f"{counted(counts)} {'fails' if one else 'fail'}",
        Verdict.TOUCHES: lambda: _touching(counts),
        Verdict.WAITS: lambda: _waiting(counts, rows),
        Verdict.NOT_LOOKED_AT: lambda: _not_looked_at(counts, rows),
        Verdict.TIGHT: lambda: f"{total} {'gap' if one else 'gaps'}{under}",
        Verdict.CONFIRM: lambda: f"{total} to confirm",
        Verdict.ASSUMED: lambda: _assumed(counts),
    }
    return says[verdict]() if verdict in says else ""


def _touching(counts: Mapping[str, int]) -> str:
    """Pairs that touch, and parts not cut for it."""
    pairs, parts = counts.get("pair", 0), counts.get("part", 0)
    said = f"{pairs} {'pair touches' if pairs == 1 else 'pairs touch'}" if pairs else ""
    return said + (f" ({counted({'part': parts})} not for cutting)" if parts else "")


def _waiting(counts: Mapping[str, int], rows: Sequence[Finding]) -> str:
    """What of the truck waits and for what, how many things wait, how many readings are owed."""
    said = _together(rows)
    rest = {
        kind: value for kind, value in counts.items() if kind in ("part", "pair", "weld", "bolt")
    }
    owed = counts.get("reading", 0)
    if rest:
        said.append(f"{counted(rest)} {'waits' if sum(rest.values()) == 1 else 'wait'}")
    if owed:
        said.append(f"{owed} {'reading is' if owed == 1 else 'readings are'} still needed")
    if not said:
        said.append(f"{counted(counts)} {'waits' if sum(counts.values()) == 1 else 'wait'}")
    return "; ".join(said)


def _not_looked_at(counts: Mapping[str, int], rows: Sequence[Finding]) -> str:
    """What of the truck was not looked at, and how much no load case is worked for."""
    said = [f"not looked at: {row.title}" for row in rows if row.kind == "truck"]
    rest = {kind: value for kind, value in counts.items() if kind != "truck"}
    return "; ".join([*said, *([f"no load case is worked for {counted(rest)}"] if rest else [])])


__all__ = [
    "EXITS",
    "KINDS",
    "Finding",
    "FindingKind",
    "Judged",
    "Verdict",
    "counted",
    "ranges",
    "worst",
]
