"""The section of an edge that is beveled for its weld: bevel, root face, groove, root opening and
throat, enlarged to a standard scale of its own beside the flat.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from ...layout.units import tape as fraction
from ..model.vectors import Vec2
from ..rules.welds import leg_text
from ..words.names import edges
from .canvas import POINTS
from .picture_of_plate import WeldLine
from .placed import PlacedStroke
from .scales import scales
from .side import Remark, SectionCut, SideElevation

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
    weld = row.weld
    groove = weld.groove
    if groove is None:
        raise ValueError(f"weld {weld.id} has no groove")
    scale = next(each for each in scales() if each.ratio * thickness * POINTS <= TALLEST)
    own, under = scale.ratio / ratio, weld.face == "bottom"
    open_ = groove.angle - groove.bevel

    def at(beside: float, off: float) -> Vec2:
        """A point ``off`` the face that is not welded, mm of the part."""
        return own * beside, own * (thickness - off if under else off)

    def ray(angle: float, out: float) -> Vec2:
        """A point so far from the root toward the welded face, at an angle from square."""
        return at(out * math.tan(angle), groove.land + out)

    end = -LONG * thickness
    corner, root = at(0.0, 0.0), at(0.0, groove.land)
    cut, far = ray(-groove.bevel, groove.depth), ray(open_, groove.depth)
    turns = [-groove.bevel + groove.angle * step / STEPS for step in range(STEPS + 1)]
    arc = tuple(ray(turn, ARC * groove.depth * math.cos(turn)) for turn in turns)
    lines: list[PlacedStroke] = [
        ((at(end, thickness), cut, root, corner, at(end, 0.0)), "wide"),
        ((corner, root, ray(open_, PAST * groove.depth)), "narrow"),
        ((cut, far), "narrow"),
        (arc, "narrow"),
    ]
    face = -math.pi / 2 if under else math.pi / 2
    land = (0.0, (corner[1] + root[1]) / 2)
    throat = ((cut[0] + far[0]) / 2, cut[1])
    bevel = ray(-groove.bevel, 0.8 * groove.depth)
    remarks = (
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
            ((arc[-2], face / 6), (arc[-4], face / 6)),
        ),
        Remark(
            "note",
            weld.leg,
            f"{fraction(groove.depth)} deep, throat ({leg_text(weld.leg)})",
            ((throat, face),),
        ),
    )
    words = f"section {letter}-{letter}, edge {edges(weld.edges)}, {scale.words}"
    return SideElevation(
        tuple(lines), (), remarks, words, SectionCut(letter, row.edges, row.opening)
    )
