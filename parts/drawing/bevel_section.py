"""The section of an edge that is beveled for its weld: bevel, root face, groove, root opening and
throat, enlarged to a standard scale of its own beside the flat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.units import tape as fraction
from ..model.assembly import Weld
from ..model.vectors import Vec2
from ..rules.welds import leg_text
from ..words.names import edges
from .canvas import POINTS
from .picture_of_plate import WeldLine
from .placed import PlacedStroke
from .scales import scales
from .side import Remark, SectionCut, SideElevation
from .symbols import depth_words

TALLEST = 80.0
"""Points the plate's thickness is drawn at most."""
LONG = 2.2
"""Thicknesses of plate shown."""
PAST = 1.3
"""How far what the plate is welded to is shown, of the way to the plate's face."""
ARC, STEPS = 0.75, 12
"""Where between root and face the arc of the groove's angle stands, and its chords."""


def bevels(rows: Sequence[WeldLine]) -> list[tuple[str, WeldLine]]:
    """Beveled edges of a plate with the letter of each one's section."""
    made = [row for row in rows if row.weld.groove and row.weld.groove.bevel]
    return list(zip("CDEFGHJK", made, strict=False))


def section_view(letter: str, row: WeldLine, thickness: float, ratio: float) -> SideElevation:
    """The section of a beveled edge, the plate's top face up.

    ``thickness``: of the plate, mm; ``ratio``: paper over part of the flat it stands beside, so
    that it comes out at its own scale. ValueError for a weld without a groove.
    """
    scale = next(each for each in scales() if each.ratio * thickness * POINTS <= TALLEST)
    section = _BevelSection(row.weld, thickness, scale.ratio / ratio)
    words = f"section {letter}-{letter}, edge {edges(row.weld.edges)}, {scale.words}"
    cut = SectionCut(letter, row.edges, row.opening)
    return SideElevation(section.lines(), (), section.remarks(), words, cut)


class _BevelSection:
    """Points of a section, on the flat's own scale; ``own``: how much larger it is drawn."""

    def __init__(self, weld: Weld, thickness: float, own: float) -> None:
        if weld.groove is None:
            raise ValueError(f"weld {weld.id} has no groove")
        self.weld, self.groove = weld, weld.groove
        self.thickness, self.own = thickness, own
        self.under = weld.face == "bottom"
        self.open = self.groove.angle - self.groove.bevel
        self.corner, self.root = self._at(0.0, 0.0), self._at(0.0, self.groove.land)
        self.cut = self._ray(-self.groove.bevel, self.groove.depth)
        self.far = self._ray(self.open, self.groove.depth)
        turns = [-self.groove.bevel + self.groove.angle * n / STEPS for n in range(STEPS + 1)]
        self.arc = tuple(
            self._ray(turn, ARC * self.groove.depth * math.cos(turn)) for turn in turns
        )

    def _at(self, beside: float, off: float) -> Vec2:
        """A point ``off`` the face that is not welded, mm of the part."""
        return self.own * beside, self.own * (self.thickness - off if self.under else off)

    def _ray(self, angle: float, out: float) -> Vec2:
        """A point so far from the root toward the welded face, at an angle from square."""
        return self._at(out * math.tan(angle), self.groove.land + out)

    def lines(self) -> tuple[PlacedStroke, ...]:
        """The plate's cut end, what it is welded to, the groove and the arc of its angle."""
        end = -LONG * self.thickness
        ends = self._at(end, self.thickness), self._at(end, 0.0)
        return (
            ((ends[0], self.cut, self.root, self.corner, ends[1]), "wide"),
            ((self.corner, self.root, self._ray(self.open, PAST * self.groove.depth)), "narrow"),
            ((self.cut, self.far), "narrow"),
            (self.arc, "narrow"),
        )

    def remarks(self) -> tuple[Remark, ...]:
        """Its sizes, each with the places and ways its leader may start."""
        groove, face = self.groove, -math.pi / 2 if self.under else math.pi / 2
        land = (0.0, (self.corner[1] + self.root[1]) / 2)
        throat = ((self.cut[0] + self.far[0]) / 2, self.cut[1])
        bevel = self._ray(-groove.bevel, 0.8 * groove.depth)
        return (
            Remark(
                "note",
                groove.bevel,
                f"bevel {math.degrees(groove.bevel):.0f}°",
                ((bevel, math.pi + face / 3), (bevel, math.pi - face / 3)),
            ),
            Remark("note", groove.land, f"root face {fraction(groove.land)}", ((land, 0.0),)),
            Remark(
                "note",
                groove.angle,
                f"groove {math.degrees(groove.angle):.0f}°, root opening 0",
                ((self.arc[-2], face / 6), (self.arc[-4], face / 6)),
            ),
            Remark(
                "note",
                self.weld.leg,
                f"{depth_words(groove)} deep, throat {leg_text(self.weld.leg)}",
                ((throat, face),),
            ),
        )
