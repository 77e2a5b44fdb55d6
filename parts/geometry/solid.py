"""Where a member's steel is, without a CAD kernel: is a truck point inside it, and how far is one
from it. Exact for lines and arcs flattened to 0.02 mm.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from ..model.assembly import Member, Part
from ..model.body import Bar, Helix, Loop, Plate, Rod, Tube
from ..model.vectors import Frame
from ..stock import Shop
from . import bend
from .faceted import Faceted
from .holes import slot_loop
from .pipe import Capsule, Pipe
from .prism import Points, Prism


class BentSolid:
    """Panels of a bent plate and the rounds of the bends between them, as the solids they are. A
    panel and its bend share a face; a distance is the least of theirs, so it is zero across the
    joint.
    """

    def __init__(self, panels: tuple[Prism, ...]) -> None:
        self.panels = panels

    def deep(self, truck: Points, margin: float) -> NDArray[np.bool_]:
        """Which truck points (n, 3) lie in one of its panels by more than ``margin`` mm."""
        return np.asarray(np.any([panel.deep(truck, margin) for panel in self.panels], axis=0))

    def away(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the steel, mm; 0 inside."""
        return np.asarray(np.min([panel.away(truck) for panel in self.panels], axis=0))

    def signed(self, truck: Points) -> Points:
        """Distance of truck points (n, 3) from the steel, mm; below zero inside a panel."""
        return np.asarray(np.min([panel.signed(truck) for panel in self.panels], axis=0))

    def skin(self, pitch: float) -> Points:
        """Points (m, 3) on the panels' surfaces, ``pitch`` mm apart at most."""
        return np.vstack([panel.skin(pitch) for panel in self.panels])

    def edges(self) -> tuple[Points, Points]:
        """Ends of the panels' straight edges."""
        starts, stops = zip(*(panel.edges() for panel in self.panels), strict=True)
        return np.vstack(starts), np.vstack(stops)

    def samples(self, margin: float, pitch: float) -> Points:
        """Points in the steel by ``margin``."""
        return np.vstack([panel.samples(margin, pitch) for panel in self.panels])


Solid = Prism | Pipe | BentSolid | Faceted


def _bent(
    place: Frame, body: Plate, thickness: float, inner: tuple[Loop, ...], sagitta: float
) -> BentSolid:
    panels, folds = bend.fold(body._replace(openings=inner), thickness)
    flats = (
        Prism(
            bend.joined(place, panel.place), 0.0, thickness, panel.outline, panel.openings, sagitta
        )
        for panel in panels
    )
    rounds = (bend.round_of(zone, body, thickness) for zone in folds)
    bends = (
        Prism(bend.joined(place, sector.place), 0.0, sector.length, sector.outline, (), sagitta)
        for sector in rounds
    )
    return BentSolid((*flats, *bends))


def solid(member: Member, part: Part | None, shop: Shop, sagitta: float = 0.02) -> Solid | None:
    """The member's steel as a body that can be asked for distances.

    Parameters
    ----------
    part : Part, optional
        What the member became: its holes and slots are then gone from the steel. None: as designed.
    shop : Shop
        Where thicknesses and tube sizes are looked up.
    sagitta : float
        How far chords may leave arcs, mm.

    Returns
    -------
    Solid or None
        None for a coil, which is all air.
    """
    body = member.body
    if isinstance(body, Plate):
        return _plate(member.place, body, part, shop.plate(body.stock).thickness, sagitta)
    if isinstance(body, Tube):
        tube = shop.tube(body.stock)
        return Pipe(member.place, body.length, tube.od, tube.od - 2 * tube.wall)
    return _simple(member.place, body.solid, sagitta)


def _plate(place: Frame, body: Plate, part: Part | None, thickness: float, sagitta: float) -> Solid:
    holes = tuple(slot_loop(hole) for hole in part.holes) if part else ()
    inner = (*body.openings, *(part.slots if part else ()), *holes)
    if body.bends:
        return _bent(place, body, thickness, inner, sagitta)
    return Prism(place, 0.0, thickness, body.outline, inner, sagitta)


def _simple(place: Frame, simple: Rod | Bar | Helix, sagitta: float) -> Solid | None:
    """What is bought or was there: a round, a bar, or a coil."""
    if isinstance(simple, Rod):
        if simple.domed:
            return Capsule(place, simple.length, simple.diameter)
        return Pipe(place, simple.length, simple.diameter, simple.bore)
    if isinstance(simple, Bar):
        return Prism(place, 0.0, simple.length, simple.outline, simple.openings, sagitta)
    return None
