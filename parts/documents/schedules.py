"""Tables for the bench: holes, bolts, welds, corners, and with tubes and material all of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from ...layout.reader import unit
from ..design.lettering import size_text
from ..drawing.symbols import bevel_words
from ..geometry import contours, outline
from ..model.assembly import Hole, Part
from ..model.body import Plate
from ..model.numbering import numbered_bolts, numbered_welds, weld_stage
from ..rules.welds import leg_text
from ..stock import Shop, default_shop
from ..stock.torque import torque
from ..truck.fasteners import every, hole_names, tightened_at
from ..truck.truck import Truck, is_plate
from .schedule import Schedule, ScheduleRow, long_in
from .steel_schedules import material, tubes

NO_TORQUE = "not given: the shop's settings do not say what state threads are in"


HOLE_COLUMNS = (
    "part",
    "hole",
    "x",
    "y",
    "finished",
    "finished_mm",
    "slot_length",
    "how",
    "pilot",
    "edge",
    "bolt",
    "fit",
    "id",
    "quantity",
    "unit",
    "number",
    "places",
)


def holes(truck: Truck) -> Schedule:
    """Every hole of every plate with how it is made and the drills it takes."""
    called = hole_names(truck)
    fits = {  # a dowel's hole is of its own size, not of a fit
        number: bolt.hole
        for number, bolt in numbered_bolts(truck.assembly).items()
        if bolt.hole.isalpha()
    }
    rows = tuple(
        _hole_row(part, part.member.body, number, hole, called)
        | {"fit": fits.get(called.get(hole.bolt, ""), "")}
        for part in truck.parts
        if isinstance(part.member.body, Plate)
        for number, hole in enumerate(part.holes, 1)
    )
    return Schedule("holes", HOLE_COLUMNS, rows)


def _hole_row(
    part: Part, body: Plate, number: int, hole: Hole, called: Mapping[str, str]
) -> ScheduleRow:
    """The ``number``-th hole of a plate, from the plate's lower-left corner."""
    x0, y0, *_ = outline.bbox(body.outline)
    return {
        "part": part.id,
        "hole": f"H{number}",
        "x": long_in(hole.at[0] - x0),
        "y": long_in(hole.at[1] - y0),
        "finished": size_text(hole.diameter),
        "finished_mm": round(hole.diameter, 2),
        "slot_length": long_in(hole.length) if hole.length else "",
        "how": hole.how,
        "pilot": size_text(hole.pilot) if hole.pilot else "",
        "edge": long_in(outline.distance(body.outline, hole.at)),
        "bolt": called.get(hole.bolt, ""),
        "fit": "",
        "id": hole.bolt,
        "quantity": part.quantity,
        "unit": unit("length"),
        "number": part.called,
        "places": " ".join(part.places),
    }


BOLT_COLUMNS = (
    "bolt",
    "id",
    "size",
    "grade",
    "through",
    "grip",
    "length",
    "length_mm",
    "plain_shank",
    "duty",
    "nut",
    "hole",
    "torque",
    "tightened_at",
    "owed",
    "unit",
)


def bolts(truck: Truck, shop: Shop) -> Schedule:
    """Every bolt, dowel and stud by its number with its stack, length, nut and torque."""
    rows: list[ScheduleRow] = [
        {
            "bolt": bolt.number,
            "id": bolt.bolt.id,
            "size": bolt.size,
            "grade": bolt.bolt.grade,
            "through": " > ".join(bolt.stack),
            "grip": long_in(bolt.grip),
            "length": bolt.length_said,
            "length_mm": round(bolt.length, 3) or "",
            "plain_shank": long_in(bolt.shank) or "",
            "duty": bolt.bolt.duty,
            "nut": bolt.nut,
            "hole": bolt.bolt.hole,
            "torque": said if (said := torque(bolt.bolt, shop)) != "-" else NO_TORQUE,
            "tightened_at": tightened_at(bolt.bolt),
            "owed": bolt.owed,
            "unit": unit("length"),
        }
        for bolt in every(truck, shop)
    ]
    return Schedule("bolts", BOLT_COLUMNS, tuple(rows))


WELD_COLUMNS = (
    "weld",
    "id",
    "on",
    "edges",
    "to",
    "kind",
    "leg",
    "leg_mm",
    "run",
    "pitch",
    "face",
    "stop_short",
    "preparation",
    "stage",
    "process",
    "care",
    "unit",
)


def welds(truck: Truck, shop: Shop) -> Schedule:
    """Every weld by its number, in the order it is laid, with the shop's process."""
    rows: list[ScheduleRow] = [
        {
            "weld": number,
            "id": weld.id,
            "on": weld.on,
            "edges": " ".join(weld.edges),
            "to": weld.to,
            "kind": weld.kind,
            "leg": leg_text(weld.leg),
            "leg_mm": round(weld.leg, 4),
            "run": long_in(weld.run) or "",
            "pitch": long_in(weld.pitch) or "",
            "face": weld.face,
            "stop_short": long_in(weld.stop) or "",
            "preparation": bevel_words(weld),
            "stage": weld_stage(truck.assembly, weld),
            "process": shop.weld,
            "care": "; ".join(sorted(weld.care)),
            "unit": unit("length"),
        }
        for number, weld in numbered_welds(truck.assembly).items()
    ]
    return Schedule("welds", WELD_COLUMNS, tuple(rows))


def corners(truck: Truck) -> Schedule:
    """Every corner of every outline from the part's lower-left, with the radius to the next."""
    rows: list[ScheduleRow] = []
    for part in filter(is_plate, truck.parts):
        assert isinstance(part.member.body, Plate)
        rows += _corner_rows(part.id, part.member.body)
    columns = ("part", "corner", "edge", "x", "y", "radius_to_next", "unit")
    return Schedule("corners", columns, tuple(rows))


def _corner_rows(part: str, body: Plate) -> Iterator[ScheduleRow]:
    """Corners of the outline and of the openings that are no round holes, counted through."""
    x0, y0, *_ = outline.bbox(body.outline)
    loops = (body.outline, *(loop for loop in body.openings if not contours.is_circle(loop)))
    spans = (span for loop in loops for span in outline.spans(loop))
    for count, (edge, end) in enumerate(spans, 1):
        radius = outline.arc_of(edge.start, end, edge.bulge).radius if edge.bulge else 0.0
        yield {
            "part": part,
            "corner": count,
            "edge": edge.name,
            "x": long_in(edge.start[0] - x0),
            "y": long_in(edge.start[1] - y0),
            "radius_to_next": long_in(radius) if radius else "straight",
            "unit": unit("length"),
        }


def tables(truck: Truck, shop: Shop | None = None) -> tuple[Schedule, ...]:
    """Every table of the truck, with the settings of ``shop``, else those of this folder."""
    shop = shop or default_shop()
    return (
        holes(truck),
        bolts(truck, shop),
        welds(truck, shop),
        tubes(truck, shop),
        material(truck, shop),
        corners(truck),
    )
