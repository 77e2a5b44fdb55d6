"""Which solids of the placed assembly stand in one another, looked at in points."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence

import numpy as np

from ..geometry.bolt_axis import in_bolt_hole
from ..geometry.prism import Points
from ..geometry.solid import Solid
from ..model.assembly import Assembly, Bolt, Member
from ..model.body import Plate, Tube

OVERLAP = 0.254
"""How deep solids may stand in one another, mm (0.01 in)."""
PITCH = 4.0
"""Solids are looked at in points this far apart, mm."""


def overlaps(
    assembly: Assembly, members: Mapping[str, Member], solids: Mapping[str, Solid]
) -> Iterator[tuple[str, str, int]]:
    """Pairs of codes that stand in one another deeper than ``OVERLAP``, and at how many points of
    the worse of the two; coped ends and what the truck came with are left out.
    """
    half = OVERLAP / 2
    points = {code: body.samples(half, PITCH) for code, body in solids.items()}
    boxes = {
        code: (cloud.min(axis=0), cloud.max(axis=0)) for code, cloud in points.items() if len(cloud)
    }
    holes = {
        code: _round_holes(members[code], [row for row in assembly.bolts if code in row.through])
        for code in solids
    }
    coped = {
        frozenset((weld.on, weld.to))
        for weld in assembly.welds
        if _is_cope(members.get(weld.on), weld.edges)
    }
    for one, two in itertools.combinations(sorted(boxes), 2):
        low = np.maximum(boxes[one][0], boxes[two][0])
        high = np.minimum(boxes[one][1], boxes[two][1])
        if (
            (low > high).any()
            or frozenset((one, two)) in coped
            or (_existing(members[one]) and _existing(members[two]))
        ):
            continue
        worst = 0
        for own, other in ((one, two), (two, one)):
            inside = ((points[own] >= low - half) & (points[own] <= high + half)).all(axis=1)
            deep = _deep(points[own][inside], solids[other], [*holes[one], *holes[two]])
            worst = max(worst, deep)
        if worst:
            yield one, two, worst


def _deep(near: Points, body: Solid, holes: Sequence[Bolt]) -> int:
    """How many points lie in the steel of a solid, outside the holes of bolts."""
    deep = near[body.deep(near, OVERLAP / 2)] if len(near) else near
    return int((~in_bolt_hole(deep, list(holes), 0.0)).sum()) if len(deep) else 0


def _is_cope(member: Member | None, edges: tuple[str, ...]) -> bool:
    """A tube end that is cut to what it meets: it touches all round and stands in nothing."""
    return (
        member is not None
        and isinstance(member.body, Tube)
        and any(
            member.body.ends[int(edge[-1])].kind == "cope"
            for edge in edges
            if edge in ("end0", "end1")
        )
    )


def _existing(member: Member) -> bool:
    return member.fixed_after == "existing"


def _round_holes(member: Member, bolts: list[Bolt]) -> list[Bolt]:
    """Bolts whose holes have to be taken out of a rail or tube; a plate has its own."""
    return [] if isinstance(member.body, Plate) else bolts
