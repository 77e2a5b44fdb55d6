"""What radius arms and upper arms share: the threaded insert at one end of the tube, the bushing's
shell at the other, and the welds of both.
"""

from __future__ import annotations

from ..model.assembly import Weld
from ..model.body import TubeEnd
from ..model.family import Site
from ..rules.welds import full_leg


def insert(site: Site, joint: str) -> TubeEnd:
    """Tube end with the threaded insert of a joint; ``joint``: "joint" or "upper_joint", as the job
    names it under arms.
    """
    return TubeEnd(
        "insert",
        depth=site.q(f"arms.{joint}_thread"),
        item=(
            f"threaded insert, {site.q(f'arms.{joint}_tpi'):.0f} threads per inch, size and hand of"
            " the joint's"
        ),
    )


def end_welds(
    site: Site, arm: str, wall: float, *, tube: str, bushing: str, orders: tuple[int, int]
) -> tuple[Weld, Weld]:
    """Insert into the tube, tube to the bushing's shell: all round, as strong as the tube.

    ``arm`` begins their names; ``wall`` of the tube, mm; ``tube``, ``bushing``: their codes.
    """
    leg = full_leg(site.shop.legs, wall)
    return (
        Weld(
            f"{arm}.insert",
            tube,
            ("end1",),
            tube,
            "fillet",
            leg,
            care=frozenset({"joint out", "rosettes first"}),
            order=orders[0],
        ),
        Weld(
            f"{arm}.shell",
            tube,
            ("end0",),
            bushing,
            "fillet",
            leg,
            care=frozenset({"bushing out", "dummy sleeve in"}),
            order=orders[1],
        ),
    )
