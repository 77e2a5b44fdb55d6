"""What is noted of every thing while a truck is judged."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ..model.verdict import Verdict, worst
from ..words import names
from .findings import Finding, FindingKind


class Book:
    """Notes on every thing by kind and id; the worst is its verdict, all reasons are kept."""

    def __init__(self, numbers: Mapping[str, str] | None = None) -> None:
        """``numbers``: of welds and bolts, by id."""
        self.numbers = numbers or {}
        self.titles: dict[tuple[FindingKind, str], str] = {}
        self.notes: dict[tuple[FindingKind, str], list[tuple[Verdict, str]]] = {}

    def thing(self, kind: FindingKind, id_: str, title: str) -> None:
        """Enter a thing; it is ok until something else is noted of it."""
        self.titles.setdefault((kind, id_), title)
        self.notes.setdefault((kind, id_), [])

    def note(
        self, kind: FindingKind, id_: str, verdict: Verdict, why: str, title: str = ""
    ) -> None:
        """Note a verdict with its reason, once; a thing that was not entered is, by its title or
        id.
        """
        self.thing(kind, id_, title or id_)
        why = names.sentence(why, self.numbers)
        if (verdict, why) not in self.notes[kind, id_]:
            self.notes[kind, id_].append((verdict, why))

    def of(self, kind: FindingKind, id_: str) -> Verdict:
        """The worst that was noted of a thing so far. KeyError for one that was not entered."""
        return worst(verdict for verdict, _ in self.notes[kind, id_])

    def findings(self) -> Iterator[Finding]:
        """One finding a thing, with every reason of its verdict."""
        for (kind, id_), notes in self.notes.items():
            verdict = self.of(kind, id_)
            why = [reason for each, reason in notes if each is verdict and reason]
            yield Finding(kind, id_, self.titles[kind, id_], verdict, "; ".join(why))
