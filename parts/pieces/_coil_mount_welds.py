"""Welds of the coil mount, in the order the truck allows them."""

from __future__ import annotations

from ..model.assembly import Port, Weld
from ..model.family import Site, Sizes
from ..rules.welds import leg_for
from ._coil_mount_plates import GUSSETS
from ._coil_mount_shapes import GUSSET_WELD, back_slot, heights
from ._lengths import IN

LAST = frozenset({"coil out", "after the set-down"})


def welds(sizes: Sizes, site: Site, face: Port) -> tuple[Weld, ...]:
    """Gussets and ring on the bench, back plate on the coil-seat plate, the seat last of all, once
    the truck has stood on it.
    """
    t, back, seat = sizes["plate.t"], sizes["back.t"], sizes["seat.t"]
    ring = Weld(
        "coil.ring",
        "CM5",
        ("rim",),
        "CM4",
        "fillet",
        leg_for(site.shop.legs, seat, sizes["ring.t"]),
        run=1.5 * IN,
        pitch=3 * IN,
        order=4,
    )
    return (
        *plate_welds(sizes, site, face),
        *(
            weld
            for end, code in GUSSETS.items()
            for weld in gusset_welds(site, (t, back, seat), end, code)
        ),
        seat_weld("back", "inner", "CM1", leg_for(site.shop.legs, seat, back)),
        ring,
    )


def plate_welds(sizes: Sizes, site: Site, face: Port) -> tuple[Weld, ...]:
    """The back plate to the coil-seat plate: along its edges, and in its slot where it has one."""
    care = frozenset({"coil out", "opposite sides in turn"})
    leg = leg_for(site.shop.legs, sizes["back.t"], face.size["t"])
    low, on, _ = heights(site, face, sizes)
    edges = Weld(
        "coil.mount.back",
        "CM1",
        ("bottom", "front", "rear"),
        face.member,
        "fillet",
        leg,
        care=care,
        stop=IN / 4,
        order=7,
    )
    inside = Weld(
        "coil.mount.slot", "CM1", ("slot",), face.member, "fillet", leg, care=care, order=8
    )
    return (edges, inside) if back_slot(site, on, low) else (edges,)


def gusset_welds(
    site: Site, thick: tuple[float, float, float], end: str, code: str
) -> tuple[Weld, Weld]:
    """A gusset to the back plate, and the seat's ``end`` to it; ``thick``: gusset, back plate and
    seat, mm.
    """
    t, back, seat = thick
    held = Weld(
        f"coil.gusset.{end}",
        code,
        ("back",),
        "CM1",
        "fillet",
        leg_for(site.shop.legs, t, back),
        face="both",
        stop=GUSSET_WELD,
        order=5,
    )
    return held, seat_weld(end, end, code, leg_for(site.shop.legs, t, seat))


def seat_weld(name: str, edge: str, onto: str, leg: float) -> Weld:
    """An edge of the seat to what it stands against, both faces, after the set-down."""
    return Weld(
        f"coil.seat.{name}",
        "CM4",
        (edge,),
        onto,
        "fillet",
        leg,
        care=LAST,
        face="both",
        stop=IN / 4,
        order=9,
    )
