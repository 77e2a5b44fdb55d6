"""What the coil-seat plate, the coil mount and rail strips are held against."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from ..model.hold import Hold, HoldKind, NotHeld, UnderLoad, Whose
from ..model.vectors import Number
from ..rules import frame, plates
from ..rules.seats import seat_collapse
from ..rules.yield_lines import plate_lifted
from . import _steps_plates as steps
from ._coil_mount_shapes import GUSSET_CLIP, GUSSET_WELD, SLIDE
from ._holding import Reasoned, row, weld_group

WELDS, ROW, ELEMENTS = HoldKind.WELDS, HoldKind.ROW, HoldKind.ELEMENTS
RAIL = ("rail.coil.width", "rail.coil.height", "rail.coil.wall", "rail.coil.outer")
SEAT = ("seat.upper.x", "seat.upper.y", "seat.upper.z")


def plate_end(seen: UnderLoad) -> Mapping[str, Number] | None:
    """The plate's round ends against the rail's wall."""
    if not seen.has(*RAIL):
        return None
    return {"t_mm": seen.plate("CS1").thick, "wall_mm": seen.q("rail.coil.wall")}


def flow(weld: str, closed: bool) -> Callable[[UnderLoad], Mapping[str, Number] | None]:
    """Shear flow along a weld that closes the cut rail: the rail carries the whole of the coil's
    load one way, and its couple about the rail's middle. An open channel has no cell: how it
    carries the couple is not worked, and the row says so.
    """

    def numbers(seen: UnderLoad) -> Mapping[str, Number] | None:
        if not seen.has(*RAIL, *SEAT):
            return None
        width, height, wall, outer = map(seen.q, RAIL)
        webs = 2 if closed else 1
        push = seen.amount("coil")
        lever = seen.q("seat.upper.y") - (outer - width / 2)
        inside = (width - webs * wall) * (height - 2 * wall) ** 3
        return {
            "shear_N": push,
            "torque_Nmm": push * lever if closed else 0.0,
            "first_mm3": width / webs * wall * (height - wall) / 2,
            "inertia_mm4": (width * height**3 - inside) / 12,
            "cell_mm2": (width - wall) * (height - wall),
            "leg_mm": seen.leg(weld),
            "fexx_MPa": seen.weld_metal,
        }

    return numbers


def flow_hold(weld: str, edge: str, closed: bool) -> Hold:
    """A weld along an edge of plate or strip, by the words of the edge ("plate's top")."""
    where = "in the closed cell" if closed else "in the channel, without its twist"
    return row(
        f"{weld}.flow",
        f"weld along the {edge} edge: shear flow of the coil's load {where}",
        "coil",
        frame.shear_flow,
        Reasoned(flow(weld, closed), steps.flow(closed)),
        welds=(weld,),
    )._replace(tag="" if closed else "memory")


def coil_plate(closed: bool) -> tuple[Hold, ...]:
    """The coil-seat plate on a boxed rail (``closed``) or a channel."""
    return (
        row(
            "coil.plate.end",
            "rail's stress at the plate's round ends over its own edge stress",
            "",
            frame.plate_end,
            plate_end,
            members=("CS1",),
        ),
        *(flow_hold(f"coil.plate.{edge}", f"plate's {edge}", closed) for edge in ("bottom", "top")),
    )


COIL_PLATE_REST = (
    NotHeld(
        ("coil.plate.ends", "coil.plate.slots"),
        "the welds along the plate's long edges are held for all of the rail's shear",
        Whose.SPARE,
    ),
)


def strips(closed: bool) -> tuple[Hold, ...]:
    """Where a strip closes the cell, the same flow goes on through the strip's weld to the rail."""
    return tuple(
        hold
        for edge in ("bottom", "top")
        for hold in (
            flow_hold(f"strip.{edge}.rail", "strip's inner", closed),
            flow_hold(f"strip.{edge}.plate", f"plate's {edge}", closed),
        )
    )


STRIPS_REST = (
    NotHeld(
        ("RS1", "RS2"),
        "gives back the section the rail loses at its cut, by the rail's own rule",
        Whose.SPARE,
    ),
)


def gusset(code: str) -> Callable[[UnderLoad], Mapping[str, Number]]:
    """Half of the coil's load on a gusset, at the coil's middle, bent at the back plate."""

    def numbers(seen: UnderLoad) -> Mapping[str, Number]:
        _, low, _, high = seen.box(code)
        plate = seen.plate(code)
        half = seen.amount("coil") / 2
        lever = abs(float(seen.point("seat.upper")[1] - seen.origin("CM1")[1]))
        return {
            "moment_Nmm": half * lever,
            "sideways_Nmm": 0.0,
            "pull_N": 0.0,
            "shear_N": half,
            "width_mm": high - low,
            "t_mm": plate.thick,
            "fy_MPa": plate.fy,
        }

    return numbers


def gusset_edge(code: str) -> Callable[[UnderLoad], Mapping[str, Number]]:
    """A gusset's free edge, pushed as it is bent at the back plate; held by its weld there."""

    def numbers(seen: UnderLoad) -> Mapping[str, Number]:
        left, low, right, high = seen.box(code)
        plate = seen.plate(code)
        lever = abs(float(seen.point("seat.upper")[1] - seen.origin("CM1")[1]))
        return {
            "stress_MPa": 6 * seen.amount("coil") / 2 * lever / (plate.thick * (high - low) ** 2),
            "outstand_mm": right - left,
            "t_mm": plate.thick,
            "fy_MPa": plate.fy,
        }

    return numbers


def seat_bent(seen: UnderLoad) -> Mapping[str, Number]:
    """The seat between its gussets and the back plate under the coil's ring and the stop's."""
    x0, y0, x1, y1 = seen.box("CM4")
    plate, middle = seen.plate("CM4"), seen.point("seat.upper")
    back = seen.plate("CM1").thick
    stop = seen.amount("coil.stop")
    wire = seen.q("spring.mean_diameter") / 2
    return {
        "coil_N": seen.amount("coil") - stop,
        "stop_N": stop,
        "span_mm": x1 - x0,
        "deep_mm": y1 - y0,
        "at_mm": abs(float(middle[1] - seen.origin("CM1")[1])) - back,
        "coil_radius_mm": wire,
        "stop_radius_mm": seen.tube("BP1").od / 2 if seen.there("BP1") else wire,
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


def back_lifted(seen: UnderLoad) -> Mapping[str, Number]:
    """The back plate between its gussets' lower ends and its own welds: the coil's load lifts it
    off the coil-seat plate from below, about the upper end of the weld on that plate.
    """
    on = float(seen.ends("CM1", "rear_up")[:, 1].min())
    _, low, half, _ = seen.box("CM1")
    back, middle = seen.origin("CM1"), seen.point("seat.upper")
    front, _, rear, _ = seen.box("CM4")
    rib = (rear - front) / 2 + SLIDE
    end = seen.box("CM2")[1] + GUSSET_CLIP + GUSSET_WELD
    plate = seen.plate("CM1")
    return {
        "moment_Nmm": seen.amount("coil") * abs(float(middle[1] - back[1])),
        "ribs_mm": 2 * rib,
        "lifted_mm": on - end,
        "held_mm": end - low,
        "beside_mm": half - rib - seen.plate("CM2").thick - seen.leg("coil.gusset.front"),
        "fy_MPa": plate.fy,
        "t_mm": plate.thick,
    }


COIL_MOUNT = (
    row(
        "coil.back.bent",
        "back plate bent between its gussets' lower ends and its own welds under the coil's load",
        "coil",
        plate_lifted,
        Reasoned(back_lifted, steps.back_lifted),
        members=("CM1",),
    ),
    row(
        "coil.seat.bent",
        "coil seat bent between its gussets and back plate under the coil's load",
        "coil",
        seat_collapse,
        Reasoned(seat_bent, steps.coil_alone),
        members=("CM4",),
    ),
    weld_group(
        "coil.mount",
        "welds of the coil mount under the coil's load",
        "coil.up",
        ("coil.mount.back", "coil.mount.slot"),
        members=("CM1",),
        at="seat.upper",
    ),
    weld_group(
        "coil.seat",
        "welds of the coil seat to its gussets and back plate under the coil's load",
        "coil.up",
        ("coil.seat.front", "coil.seat.rear", "coil.seat.back"),
        at="seat.upper",
    ),
    weld_group(
        "coil.gussets",
        "welds of the coil mount's gussets to its back plate under the coil's load",
        "coil.up",
        ("coil.gusset.front", "coil.gusset.rear"),
        members=("CM2", "CM3"),
        at="seat.upper",
    ),
    *(
        row(
            f"coil.gusset.{name}.bent",
            "gusset bent at the back plate by half of the coil's load",
            "coil",
            plates.plate_root,
            Reasoned(gusset(code), steps.gusset),
            members=(code,),
        )
        for name, code in (("front", "CM2"), ("rear", "CM3"))
    ),
    *(
        row(
            f"coil.gusset.{name}.edge",
            "gusset's free edge pushed by half of the coil's load, buckling",
            "coil",
            plates.edge_buckling,
            Reasoned(gusset_edge(code), steps.gusset_edge(code)),
            members=(code,),
        )
        for name, code in (("front", "CM2"), ("rear", "CM3"))
    ),
    Hold(
        "coil.plate.bent",
        ELEMENTS,
        "coil-seat plate bent under the coil's load, one thickness off its welds",
        "coil",
        members=("CS1", "CM1"),
        at="seat.upper",
    ),
)

COIL_MOUNT_REST = (
    NotHeld(
        ("CM5", "coil.ring"),
        "ring that keeps the coil in its place: the coil stands on the seat beside it",
        Whose.NO_LOAD,
    ),
    NotHeld(("coil.retainer",), "keeps a slack coil from falling out", Whose.NO_LOAD),
)
