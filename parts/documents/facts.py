"""What every shop sheet is made from, and the numbers welds and bolts carry on maps and lists."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ...layout import units
from ...layout.assumed import about
from ...layout.graph import Graph
from ...layout.job.field import key_of
from ...layout.job.fields import field_of
from ...layout.quantities import Key, Side
from ..drawing.sheet import saw_length
from ..drawing.tube import length_words
from ..export.nest import Result
from ..model.assembly import Bolt, Member, Part, Weld
from ..model.body import Plate, Tube
from ..model.numbering import numbered_bolts, numbered_welds, weld_stage
from ..model.terms import When
from ..placed.fit import weld_line
from ..stock import Shop
from ..strength.result import Strength
from ..truck.pins import on_paper
from ..truck.truck import Truck
from ..verdict.cut_today import when
from ..verdict.findings import Judged
from ..words import names
from ..words import numbers as shown
from ..words.readings import in_words

ASSUMED = "ASSUMED, nobody measured it"
SIDE = {"L": "left", "R": "right", "C": "center"}


@dataclass(frozen=True)
class Facts:
    """A designed truck with everything the sheets say of it."""

    chassis: str
    date: str
    words: Mapping[str, str]
    readings: Mapping[Key, object]
    solved: Graph
    truck: Truck
    shop: Shop
    strength: Strength
    nest: Result
    revisions: Mapping[str, str]
    judged: Judged
    accepted: Sequence[Mapping[str, str]] = ()
    trucks: int = 1
    revision: str = ""
    """Letter of the whole; empty for a draft."""

    def v(self, name: str, side: Side = "C") -> float | None:
        """A reading or result by its name: mm, rad, N, N/mm or kg; None while it waits."""
        return self.solved.values.get(Key(name, side))

    def shown(self, name: str, side: Side = "C", kind: str = "length") -> str:
        """A value with its unit as the shop reads it; "waits for ..." a result that waits, "not
        read" a reading that is not there.

        ``kind``: of quantity, as ``layout.units`` has it: "length", "angle", "force", "rate".
        """
        x = self.v(name, side)
        if x is None:
            return (
                "waits for " + self.readings_words(self.solved.rests_on(Key(name, side)))
                if Key(name, side) in self.solved.equations
                else "not read"
            )
        return units.show(x, kind)

    def reading(self, key: Key) -> str:
        """What a reading or a result is, in words, with its side."""
        key = key_of(str(key))
        title = self.solved.title(key)
        said = title or field_of(key.name).how.partition(":")[0].partition(";")[0]
        side = {"L": ", left", "R": ", right"}.get(key.side, "")
        return said[:1].lower() + said[1:] + side

    def readings_words(self, keys: Iterable[Key]) -> str:
        """What several readings or results are, in words, each once."""
        return ", ".join(dict.fromkeys(self.reading(key) for key in sorted(keys, key=str)))

    def saw(self, code: str, side: str) -> str:
        """A tube's length as it is cut, and between what; or that it is not made."""
        member = self.members.get(f"{code}.{side}")
        if member is None or not isinstance(member.body, Tube):
            return "not made: see what is owed"
        return f"{saw_length(member.body.length)} {length_words(member.body)}"

    @cached_property
    def members(self) -> Mapping[str, Member]:
        """Members by their code."""
        return {member.code: member for member in self.truck.assembly.members}

    @cached_property
    def parts(self) -> Mapping[str, Part]:
        """Parts by their place: one each, whatever is cut alike."""
        return {part.id: part for part in self.truck.singles}

    @property
    def owed(self) -> list[str]:
        """Readings that something waits for, by name and side."""
        return [x.id for x in self.judged.findings if x.kind == "reading" and x.verdict.bars]

    def not_for_cutting(self, part: Part) -> str:
        """What stands behind the name of a part on paper it could be cut by, if it may not be."""
        return ", NOT FOR CUTTING" if when(part, self.judged) is When.WAITS else ""

    def barred_words(self) -> list[str]:
        """What is not for cutting and why, a line a reason with every part it bars; then what was
        looked for in stock for them, each once.
        """
        why: dict[str, list[str]] = {}
        way: dict[str, list[str]] = {}
        for part, whole in self.judged.barred().items():
            reason = whole
            for sought in dict.fromkeys(self.strength.ways.values()):
                if f". {sought}" in whole:
                    reason = reason.replace(f". {sought}", "")
                    way.setdefault(sought, []).append(part)
            why.setdefault(reason, []).append(part)
        return [
            f"{', '.join(map(names.part, parts))}: {self.said(reason)}"
            for reason, parts in (*why.items(), *way.items())
        ]

    def aside(self) -> list[str]:
        """Rules set aside by name, who said so and why."""
        return [
            f"{key.removeprefix('override.').replace('_', ' ')}: {value}"
            for key, value in sorted(self.words.items())
            if key.startswith("override.")
        ]

    def title(self, code: str) -> str:
        """A member's printed name with its title, and the number lettered on it where that is
        another.
        """
        member, called = self.members.get(code), names.part(code)
        said = f"{called} {member.title}" if member and member.title not in called else called
        return f"{said}{self.marked(code)}"

    def marked(self, code: str) -> str:
        """What a place's part is lettered where that is not the place's own code: the part is cut
        as that of another place.
        """
        part = self.parts.get(code)
        return f" (marked {part.number})" if part and part.number != code.rpartition(".")[0] else ""

    @cached_property
    def numbers(self) -> dict[str, str]:
        """Number of every weld and bolt by its id."""
        return names.numbers(self.truck.assembly)

    def said(self, text: object) -> str:
        """A text with the model's ids, pins and readings in it, as people read it."""
        plain = in_words(on_paper(str(text)), self.solved)
        return shown.worded(names.sentence(plain, self.numbers))

    def assumed(self, *words: str) -> list[str]:
        """What nobody read, as paper says it; ``words``: only what a reading or setting named with
        one of these would replace.
        """
        found = self.strength.assumed
        lines = about(found, *words) if words else map(str, found)
        return [self.said(line) for line in lines] or ["nothing"]

    def welds(self) -> dict[str, Weld]:
        """Welds by their number, in the order they are laid."""
        return numbered_welds(self.truck.assembly)

    def stage(self, weld: Weld) -> str:
        """The stage a weld is laid in for good, a word of ``parts.model.numbering``."""
        return weld_stage(self.truck.assembly, weld)

    def bolts(self) -> dict[str, Bolt]:
        """Bolts by their number."""
        return numbered_bolts(self.truck.assembly)

    def line(self, weld: Weld) -> list[np.ndarray]:
        """A weld's lines in truck axes; a tube's end as one point."""
        member = self.members[weld.on]
        if isinstance(member.body, Tube):
            return [
                np.array(
                    [member.place.out((0.0 if edge == "end0" else member.body.length, 0.0, 0.0))]
                )
                for edge in weld.edges
            ]
        thickness = (
            self.shop.plate(member.body.stock).thickness if isinstance(member.body, Plate) else 0.0
        )
        return [
            points
            for edge in weld.edges
            if len(
                points := weld_line(
                    member, edge, thickness, "top" if weld.face == "top" else "bottom", weld.stop
                )
            )
        ]

    def length(self, weld: Weld) -> float:
        """Length of a weld, both faces, stitches counted by their share, mm."""
        member = self.members[weld.on]
        if isinstance(member.body, Tube):
            return float(np.pi * self.shop.tube(member.body.stock).od * len(weld.edges))
        run = sum(
            float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
            for points in self.line(weld)
        )
        return (
            run
            * (2 if weld.face == "both" else 1)
            * (weld.run / weld.pitch if weld.run and weld.pitch else 1.0)
        )


def fraction(mm: float) -> str:
    """A length, mm, as the tape reads it (sixteenths or millimeters), without its unit."""
    return units.tape(mm)


def tol(tolerance: float) -> str:
    """A tolerance the trade gives in inches, in the reader's unit and without it."""
    return shown.inches(tolerance).rpartition(" ")[0]
