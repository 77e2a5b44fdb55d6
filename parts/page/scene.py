"""The placed truck as the page's script reads it: bodies as triangles, and how each moves."""

from __future__ import annotations

from typing import TypedDict

from ...layout.arrays import Integers
from ..geometry.facets import Corners
from ..model.assembly import Member
from ..model.body import Bought
from ..stock import Shop
from ..truck.truck import Truck
from ..verdict.findings import Judged
from ..words import names
from ..words.terms import spoken
from .mesh import solid_mesh
from .shown import PageContents

TENTHS = 10
"""Corners are written in tenths of a millimeter."""


class Drawable(TypedDict):
    """A body: id, number, title, what it moves with, kind, corners in tenths of mm, triangles."""

    id: str
    c: str
    n: str
    g: str
    k: str
    p: list[int]
    t: list[int]


class PageScene(TypedDict):
    """Everything the script draws: bodies, and how each group of them moves."""

    bodies: list[Drawable]
    rides: dict[str, list[list[float]]]


def scene(truck: Truck, shop: Shop, judged: Judged, shown: PageContents) -> PageScene:
    """The placed truck; tools and tires are left out."""
    parts = {part.id: part for part in truck.singles}
    bodies: list[Drawable] = []
    barred = judged.barred()
    for member in truck.assembly.members:
        if member.fixed_after == "tool" or member.code.startswith("tire"):
            continue
        points, triangles = solid_mesh(member, parts.get(member.code), shop)
        if not len(triangles):
            continue
        kind = _kind(member, barred=member.code in barred)
        bodies.append(_drawable(member, kind, shown, points, triangles))
    return {
        "bodies": bodies,
        "rides": {
            group: [[round(float(x), 5) for x in row] for row in rows]
            for group, rows in shown.moves.items()
        },
    }


def _kind(member: Member, *, barred: bool) -> str:
    """What the script colors a body by."""
    if barred:
        return "bad"
    if member.fixed_after == "existing":
        return "truck"
    return "bought" if isinstance(member.body, Bought) else "made"


def _drawable(
    member: Member, kind: str, shown: PageContents, points: Corners, triangles: Integers
) -> Drawable:
    return {
        "id": member.code,
        "c": spoken(names.part(member.code)),
        "n": spoken(member.title),
        "g": shown.groups.get(member.code, "frame"),
        "k": kind,
        "p": [round(float(x) * TENTHS) for x in points.ravel()],
        "t": [int(corner) for corner in triangles.ravel()],
    }
