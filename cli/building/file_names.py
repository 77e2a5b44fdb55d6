"""What the files of a part are called, and at which revision it stands."""

from __future__ import annotations

from collections.abc import Mapping

from ...parts.model.assembly import Part
from ...parts.stock import Shop


def revision_of(part: Part, letters: Mapping[str, str]) -> str:
    """A part's released letter, or "d" and six of its cut fingerprint for a draft."""
    return letters.get(part.id) or f"d{part.cut_fingerprint[:6]}"


def stem_of(part: Part, chassis: str, revision: str, shop: Shop) -> str:
    """File name of a part without its ending; the cut file's own seven fields for a plate."""
    from ...parts.export import cut
    from ...parts.truck.truck import is_plate

    if is_plate(part):
        return cut.cut_name(part, chassis, revision, shop).removesuffix(".dxf")
    return f"{chassis}-{part.called.replace('.', '-')}-{revision}"


def drawing_name(stem: str, shop: Shop) -> str:
    """The drawing's own file: not the cut file's name, since only one of them is for the table."""
    base = stem.removesuffix(f"-{shop.unit}")
    return f"{base}-drawing-{shop.unit}.dxf"


def solid_name(stem: str, shop: Shop) -> str:
    """A solid's file says the unit it holds, which is mm whatever the shop cuts in."""
    return f"{stem.removesuffix(f'-{shop.unit}')}-mm.step"
