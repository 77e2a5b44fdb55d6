"""What every shop sheet is made from, and the numbers welds and bolts carry on maps and lists."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

import numpy as np

from ...layout import units
from ...layout.graph import Graph
from ...layout.quantities import Key
from ..drawing.sheet import saw_length
from ..drawing.tube import length_words
from ..fit import weld_line
from ..model import Bolt, Member, Part, Plate, Tube, Weld
from ..nest import Result
from ..numbering import weld_stage
from ..stock import IN, Shop
from ..strength import Strength
from ..truck import Truck
from ..verdict import Judged

LB = 2.20462
ASSUMED = "ASSUMED, nobody measured it"
SIDE = {"L": "left", "R": "right", "C": "centre"}


class Facts(NamedTuple):
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

    def v(self, name: str, side: str = "C") -> float | None:
        """A value by name, None while it waits."""
        return self.solved.values.get(Key(name, side))  # type: ignore[arg-type]

    def shown(self, name: str, side: str = "C", kind: str = "length") -> str:
        """A value as a shop reads it; what it waits for if it waits."""
        x = self.v(name, side)
        if x is None:
            return (
                "waits for " + ", ".join(map(str, self.solved.rests_on(Key(name, side))))
                if Key(name, side) in self.solved.equations
                else "not read"
            )  # type: ignore[arg-type]
        return units.show(x, kind)

    def saw(self, code: str, side: str) -> str:
        """A tube's length as it is cut, and between what; what stands in the way if it is not made."""
        m = self.members.get(f"{code}.{side}")
        if m is None or not isinstance(m.body, Tube):
            return "not made: see what is owed"
        return f"{saw_length(m.body.length)} {length_words(m.body)}"

    @property
    def members(self) -> Mapping[str, Member]:
        return {m.code: m for m in self.truck.assembly.members}

    @property
    def parts(self) -> Mapping[str, Part]:
        return {p.id: p for p in self.truck.singles}

    @property
    def owed(self) -> list[str]:
        """Readings that are owed."""
        return [x.id for x in self.judged.findings if x.kind == "reading" and x.verdict.bars]

    def barred_words(self) -> list[str]:
        """What is not for cutting, parts with one reason together."""
        why: dict[str, list[str]] = {}
        for part, reason in self.judged.barred().items():
            why.setdefault(reason, []).append(part)
        return [f"{', '.join(parts)}: {reason}" for reason, parts in why.items()]

    def aside(self) -> list[str]:
        """Rules set aside by name, who said so and why."""
        return [
            f"{k.removeprefix('override.').replace('_', ' ')}: {v}"
            for k, v in sorted(self.words.items())
            if k.startswith("override.")
        ]

    def title(self, code: str) -> str:
        """A member's code with its name, and the number lettered on it where that is another."""
        m = self.members.get(code)
        return f"{code} {m.title}{self.marked(code)}" if m else code

    def marked(self, code: str) -> str:
        """What a place's part is lettered where that is not the place's own code: the part is cut as that of another place."""
        p = self.parts.get(code)
        return f", marked {p.number}" if p and p.number != code.rpartition(".")[0] else ""

    def welds(self) -> dict[str, Weld]:
        """Welds by their number, in the order they are laid."""
        return self.truck.assembly.numbered_welds()

    def stage(self, w: Weld) -> str:
        """The stage a weld is laid in."""
        return weld_stage(self.truck.assembly, w)

    def bolts(self) -> dict[str, Bolt]:
        """Bolts by their number."""
        return self.truck.assembly.numbered_bolts()

    def line(self, w: Weld) -> list[np.ndarray]:
        """A weld's lines in truck axes; a tube's end as one point."""
        m = self.members[w.on]
        if isinstance(m.body, Tube):
            return [
                np.array([m.place.out((0.0 if e == "end0" else m.body.length, 0.0, 0.0))])
                for e in w.edges
            ]
        t = self.shop.plate(m.body.stock).thickness if isinstance(m.body, Plate) else 0.0
        return [
            p
            for e in w.edges
            if len(p := weld_line(m, e, t, "top" if w.face == "top" else "bottom", w.stop))
        ]

    def length(self, w: Weld) -> float:
        """Length of a weld, both faces, stitches counted by their share, mm."""
        m = self.members[w.on]
        if isinstance(m.body, Tube):
            return float(np.pi * self.shop.tube(m.body.stock).od * len(w.edges))
        run = sum(float(np.linalg.norm(np.diff(p, axis=0), axis=1).sum()) for p in self.line(w))
        return (
            run * (2 if w.face == "both" else 1) * (w.run / w.pitch if w.run and w.pitch else 1.0)
        )


def fraction(mm: float) -> str:
    """Sixteenths without the decimal."""
    return units.fraction(mm)


def size_of(f: Facts, p: Part) -> str:
    """Plate: over all; tube: length."""
    from .. import outline

    if isinstance(p.member.body, Plate):
        x0, y0, x1, y1 = outline.bbox(p.member.body.outline)
        return f"{(x1 - x0) / IN:.2f} x {(y1 - y0) / IN:.2f}"
    return f"{saw_length(p.member.body.length)} long" if isinstance(p.member.body, Tube) else ""
