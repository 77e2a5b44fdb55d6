"""Gussets of the track-bar brace: two plates level beside the tube, between it and its pad on the
far rail.

They meet two faces, the pad's and the tube's side, at the angle the far rail stands to the tube;
their feet run along the rail.

This is the shortest family, and the one to copy for a new one. Read from below: ``FAMILY`` says
what the family is called, which ports it stands on (``needs``), which choices it has
(``variables``: here one, the plate out of the shop's stock) and what holds a choice against its
limits (``rules``). Of all choices that pass every rule the one of least ``mass`` is built.
``build`` draws it, for the left side only, in the truck's coordinates; the other is its mirror.

What ``build`` and its helpers get:

``sizes``
    The choice that was made: ``sizes.stock("plate")`` is a stock key, ``sizes["plate.t"]`` its
    thickness in mm.
``site``
    One side of the truck: ``site.port(name)`` a face another family gives, with its frame, its
    sizes in mm and the member it is on; ``site.q(name)`` a solved length or angle (mm, rad);
    ``site.word(name)`` a word of the job. A reading nobody took stops this family alone, by name.

What a rule and ``mass`` get instead of ``sizes`` is ``grid``: the same keys, each an array over all
choices at once, so they are written with array arithmetic and never with ``if``.
"""

from __future__ import annotations

from ..design.weld_size import WELD
from ..geometry.contours import Corner, rounded
from ..model.assembly import Assembly, Member, Weld
from ..model.body import Loop, Plate
from ..model.family import Family, Grid, Site, Sizes, Variable
from ..model.terms import Role
from ..model.vectors import Frame, Number, Vec3
from ..rules.welds import leg_for
from ._conflicts import BAR
from ._from_stock import STEEL, plate_keys_over
from ._holding import held
from ._holds_bar import GUSSETS
from ._lengths import IN, round_down
from ._rail_places import from_datum
from ._room_rules import room_rule

CLIP = 3 * IN / 8
"""Cut off the corner between the two feet, mm: room for the weld that passes there (practice)."""

NOSE = 3 * IN / 8
"""Blunt end of each foot, mm: a feather would burn away (practice)."""

THINNEST = 3 * IN / 16
"""Thinnest plate that is offered, mm (practice)."""

FREE_EDGE = 32
"""Longest free edge in plate thicknesses (practice)."""


def feet(site: Site) -> tuple[float, float]:
    """Foot along the pad, to a weld's width from its end, and along the tube, half as long again.

    In mm, rounded down to what the shop cuts: a free size is rounded where it is chosen.
    """
    pad = site.port("bar.pad").size
    along_pad = round_down(pad["half"] - pad["od"] / 2 - IN / 4)
    return along_pad, round_down(1.5 * along_pad)


def outline(site: Site, lean: float) -> Loop:
    """Gusset in axes on the tube's middle line: x away from the pad, y away from the tube.

    The pad's face leans ``lean`` in x per y. Corners run counter-clockwise, and each names the edge
    that begins at it: "tube" and "pad" are the feet that ``welds`` asks for.
    """
    radius = site.port("bar.pad").size["od"] / 2
    along_pad, along_tube = feet(site)
    return rounded(
        [
            Corner("clip", lean * (radius + CLIP), radius + CLIP),
            Corner("tube", lean * radius + CLIP, radius),
            Corner("end", lean * radius + along_tube, radius),
            Corner("slope", lean * radius + along_tube, radius + NOSE),
            Corner("nose", lean * (radius + along_pad) + NOSE, radius + along_pad),
            Corner("pad", lean * (radius + along_pad), radius + along_pad),
        ]
    )


def gusset(sizes: Sizes, site: Site, code: str, name: str, up: float) -> Member:
    """One gusset, its own z upward for ``up`` +1 and downward for -1.

    The plate's bottom face lies in the plane of its ``place``, so it is set half a thickness off
    the tube's middle. ``datum`` edges are what the fitter measures from, ``ref`` where it goes in
    the fitter's words, ``fixed_after`` the step after which it can move no more.
    """
    pad = site.port("bar.pad")
    lean = -pad.frame.x[1] / pad.frame.x[0]
    x, y, height = pad.frame.origin
    upward: Vec3 = (0.0, 0.0, up)
    return Member(
        code,
        f"track-bar brace gusset, {name}",
        "GU",
        Plate(sizes.stock("plate"), outline(site, lean * up)),
        Frame((x, y, height - up * sizes["plate.t"] / 2), (0.0, 1.0, 0.0), upward),
        ("tube", "pad"),
        fixed_after="set-down",
        ref=(
            "level with the brace's middle, between it and the pad on the far rail;"
            f" {from_datum(site, pad.frame.origin)}"
        ),
    )


def welds(sizes: Sizes, site: Site, code: str, name: str) -> tuple[Weld, ...]:
    """Both feet of one gusset, both faces, stopped short of the ends.

    ``order`` is the place among all welds of the truck: these come after the brace's own.
    """
    pad = site.port("bar.pad")
    return tuple(
        Weld(
            f"brace.gusset.{name}.{foot}",
            code,
            (foot,),
            onto,
            "fillet",
            leg_for(site.shop.legs, sizes["plate.t"]),
            face="both",
            stop=IN / 4,
            order=14,
        )
        for foot, onto in (("pad", pad.member), ("tube", "TB16"))
    )


def build(sizes: Sizes, site: Site) -> Assembly:
    """Gussets GU1 behind the tube and GU2 ahead of it, and their welds."""
    both = (("GU1", "rear", 1.0), ("GU2", "front", -1.0))
    return held(
        Assembly(
            members=tuple(gusset(sizes, site, code, name, up) for code, name, up in both),
            welds=tuple(weld for code, name, _ in both for weld in welds(sizes, site, code, name)),
        ),
        (),
        GUSSETS,
    )


def mass(grid: Grid, site: Site) -> Number:
    """Two triangles, kg: an array over the choices."""
    along_pad, along_tube = feet(site)
    return along_pad * along_tube * grid["plate.t"] * STEEL


def thick(grid: Grid, site: Site) -> tuple[Number, Number]:
    """Free edge over 32 against the plate, mm, so that the sloped edge does not fold (practice)."""
    along_pad, along_tube = feet(site)
    slope = (along_pad * along_pad + along_tube * along_tube) ** 0.5
    return slope / FREE_EDGE + 0 * grid["plate.t"], grid["plate.t"]


FAMILY = Family(
    code="GU",
    title="brace gussets",
    where="one side",
    needs=("bar.pad",),
    gives=(),
    variables=(Variable("plate", "plate", plate_keys_over(THINNEST)), WELD),
    rules=(
        room_rule("gusset.edge", thick, "free edge of the gusset at most 32 plate thicknesses"),
    ),
    mass=mass,
    build=build,
    sheet="track bar",
    about=BAR,
    side_of="bar.frame.y",
    roles={Role.AFTER_SET_DOWN: ("GU",)},
)
