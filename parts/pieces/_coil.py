"""What the families round the coil share: its diameters, and the half width of the mount they keep
clear of. Lengths in mm.
"""

from __future__ import annotations

from ...layout import reader
from ..design.site import Refused
from ..model.family import Site
from ._lengths import IN, round_up

GUSSET_MOST = 3 * IN / 8
"""Thickest gusset plate of a coil mount; the coil-seat plate's slots are set for it."""


def coil_od(s: Site) -> float:
    """Outside diameter of the coil."""
    return s.q("spring.mean_diameter") + s.q("spring.wire")


def ring_od(s: Site) -> float:
    """Locating ring: 1/8 in under the coil's inside diameter (practice)."""
    return s.q("spring.mean_diameter") - s.q("spring.wire") - IN / 8


def ring_bore(s: Site) -> float:
    """Bore of the ring: its rim is 5/8 in wide (practice).

    Refused for a coil too small to take a ring.
    """
    bore = ring_od(s) - 1.25 * IN
    if bore < IN / 2:
        raise Refused(
            f"a coil {reader.length(s.q('spring.mean_diameter') - s.q('spring.wire'))} inside takes"
            " no locating ring: spring.mean_diameter of at least"
            f" {reader.length(s.q('spring.wire') + 1.875 * IN)} does with this wire. Read it again"
        )
    return bore


def gusset_at(s: Site) -> float:
    """Inside face of the mount's gussets, fore and aft of the coil's center: clear of the bowed
    coil by 1/2 in, and past the edges of the cut.
    """
    x = s.q("seat.upper.x")
    cut = max(s.q("frame.notch.x_last") - x, x - s.q("frame.notch.x_first"))
    return round_up(max(coil_od(s) / 2 + s.q("spring.bow") + IN / 2, cut + IN / 4))


def mount_half(s: Site) -> float:
    """Half the width of the mount's back plate: gussets with room for their welds and its own."""
    return gusset_at(s) + GUSSET_MOST + IN / 2
