"""Tables of steel: the tube cut list, and the bill of what is made and bought."""

from __future__ import annotations

from ...layout.reader import number, unit
from ...layout.units import LB
from ..design.lettering import size_text
from ..drawing.sheet import saw_length
from ..drawing.tube import length_words
from ..geometry import outline
from ..model.assembly import Part
from ..model.body import Bought, Plate, Tube
from ..stock import Shop
from ..truck.fasteners import ordered, with_it
from ..truck.truck import Truck
from ..words import names
from .schedule import Schedule, ScheduleRow, long_in, mass_in

POUND = LB
"""kg in the pound that prices are given by."""
TUBE_COLUMNS = (
    "part",
    "name",
    "stock",
    "od",
    "wall",
    "length",
    "length_decimal",
    "length_mm",
    "between",
    "end_a",
    "end_b",
    "quantity",
    "mass",
    "mass_kg",
    "unit",
    "mass_unit",
    "number",
    "places",
)


def tubes(truck: Truck, shop: Shop) -> Schedule:
    """Tube cut list: long point to long point, how each end is prepared."""
    rows = tuple(
        _tube_row(part, part.member.body, shop)
        for part in truck.parts
        if isinstance(part.member.body, Tube)
    )
    return Schedule("tubes", TUBE_COLUMNS, rows)


def _tube_row(part: Part, body: Tube, shop: Shop) -> ScheduleRow:
    """A tube's size, length by saw and in full, ends and mass."""
    size = shop.tube(body.stock)
    end_a, end_b = (
        end.kind if end.kind != "cope" else f"cope to {size_text(end.onto)}" for end in body.ends
    )
    return {
        "part": part.id,
        "name": part.member.title,
        "stock": body.stock,
        "od": long_in(size.od),
        "wall": long_in(size.wall),
        "length": saw_length(body.length),
        "length_decimal": long_in(body.length),
        "length_mm": round(body.length, 4),
        "between": length_words(body),
        "end_a": end_a,
        "end_b": end_b,
        "quantity": part.quantity,
        "mass": mass_in(part.mass),
        "mass_kg": round(part.mass, 4),
        "unit": unit("length"),
        "mass_unit": unit("mass"),
        "number": part.called,
        "places": " ".join(part.places),
    }


MATERIAL_COLUMNS = (
    "item",
    "called",
    "name",
    "make",
    "stock",
    "size",
    "quantity",
    "mass",
    "mass_kg",
    "unit",
    "cost",
    "number",
    "places",
)


def material(truck: Truck, shop: Shop) -> Schedule:
    """Bill of material: what is made, then what is bought, with mass and cost where known."""
    made = [_made_row(part, shop) for part in truck.parts]
    bought = [
        _bought_row(
            item=member.code,
            called=names.part(member.code),
            name=member.title,
            stock=member.body.item,
            quantity=member.per_truck,
            places=member.code,
        )
        for member in truck.assembly.members
        if isinstance(member.body, Bought) and member.fixed_after != "existing"
    ]
    bolted = [
        _bought_row(
            item=f"{bolt.made} {bolt.size}",
            called=f"{bolt.made} {bolt.size}",
            name=f"{bolt.name}, {with_it(bolt)}",
            size=bolt.call,
            quantity=count,
        )
        for bolt, count in ordered(truck, shop)
    ]
    return Schedule("material", MATERIAL_COLUMNS, (*made, *bought, *bolted))


def _made_row(part: Part, shop: Shop) -> ScheduleRow:
    """A part of the shop's own with its box or length, mass and steel cost of all of it."""
    stock_key, mass = getattr(part.member.body, "stock", ""), part.mass * part.quantity
    price = shop.prices.get(stock_key)
    return {
        "item": part.id,
        "called": names.made(part),
        "name": part.member.title,
        "make": "make",
        "stock": stock_key,
        "size": overall(part),
        "quantity": part.quantity,
        "mass": mass_in(mass),
        "mass_kg": round(mass, 4),
        "unit": unit("mass"),
        "cost": "" if price is None else round(mass / POUND * price, 2),
        "number": part.called,
        "places": " ".join(part.places),
    }


def _bought_row(
    item: str,
    called: str,
    name: str,
    quantity: int,
    stock: str = "",
    size: str = "",
    places: str = "",
) -> ScheduleRow:
    """A thing that is bought, whose mass and cost nobody gave."""
    return {
        "item": item,
        "called": called,
        "name": name,
        "make": "buy",
        "stock": stock,
        "size": size,
        "quantity": quantity,
        "mass": "",
        "mass_kg": "",
        "unit": "",
        "cost": "",
        "number": item,
        "places": places,
    }


def overall(part: Part) -> str:
    """A plate's box or a tube's length, as the saw reads it; "" for anything else."""
    body = part.member.body
    if isinstance(body, Plate):
        x0, y0, x1, y1 = outline.bbox(body.outline)
        return f"{number(x1 - x0, 'length')} x {number(y1 - y0, 'length')}"
    return f"{saw_length(body.length)} long" if isinstance(body, Tube) else ""
