"""What the families round the coil share: its diameters, and the half width of the mount they keep
clear of. Lengths in mm.
"""

from __future__ import annotations

from ...layout import reader
from ..design.site import Refused
from ..model.family import Site
from ._coil_seat_shape import cut_read
from ._lengths import IN, round_up

GUSSET_MOST = 3 * IN / 8
"""Thickest gusset plate of a coil mount; the coil-seat plate's slots are set for it."""


SADDLES = 1.5 * IN
"""From the lower seat's middle to the inside faces of its saddles."""
LEGS_PASS = 2.875 * IN
"""Bore that the legs of a bump pad stand inside, set off by the axle's usual walk."""
LEG_HALF, LEGS_APART = 0.7 * IN, 0.4 * IN
"""Half width of a bump pad's leg, and from the pad's middle to its legs' inside faces: both within
the locating ring.
"""


def coil_od(site: Site) -> float:
    """Outside diameter of the coil."""
    return site.q("spring.mean_diameter") + site.q("spring.wire")


def ring_od(site: Site) -> float:
    """Locating ring: 1/8 in under the coil's inside diameter (practice)."""
    return site.q("spring.mean_diameter") - site.q("spring.wire") - IN / 8


def ring_bore(site: Site) -> float:
    """Bore of the ring: its rim is 5/8 in wide (practice), under a small coil down to 3/8 in so
    that the legs of a bump pad stand inside.

    Refused for a coil too small to take a ring.
    """
    bore = ring_od(site) - 1.25 * IN
    if bore < IN / 2:
        raise Refused(
            f"a coil {reader.length(site.q('spring.mean_diameter') - site.q('spring.wire'))} inside"
            " takes no locating ring: spring.mean_diameter of at least"
            f" {reader.length(site.q('spring.wire') + 1.875 * IN)} does with this wire."
            " Read it again"
        )
    return max(bore, min(ring_od(site) - 0.75 * IN, LEGS_PASS))


def gusset_at(site: Site) -> float:
    """Inside face of the mount's gussets, fore and aft of the coil's center: clear of the bowed
    coil by 1/2 in, and past the edges of the cut.
    """
    x, cut = site.q("seat.upper.x"), cut_read(site)
    past = max(cut.last - x, x - cut.first)
    return round_up(max(coil_od(site) / 2 + site.q("spring.bow") + IN / 2, past + IN / 4))


def mount_half(site: Site) -> float:
    """Half the width of the mount's back plate: gussets with room for their welds and its own."""
    return gusset_at(site) + GUSSET_MOST + IN / 2
