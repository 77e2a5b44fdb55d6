"""What a wrench was set to, as it was typed."""

from __future__ import annotations

from ...layout import units
from ...layout.faults import Fault

_FOOT, _INCH = units.FT * units.LBF, units.IN * units.LBF
UNITS = {
    "n*m": 1000.0,
    "nm": 1000.0,
    "kgf*m": 1000.0 * units.GRAVITY,
    **{f"{force}*ft": _FOOT for force in ("lb", "lbf", "lbs")},
    **{f"ft*{force}": _FOOT for force in ("lb", "lbf", "lbs")},
    **{f"{force}*in": _INCH for force in ("lb", "lbf", "lbs")},
    **{f"in*{force}": _INCH for force in ("lb", "lbf", "lbs")},
}
"""N mm in one."""
MOST = 3e6
"""N mm: no wrench of a small shop reaches it."""
DRIVEN = ("driven in", "pressed in")
"""What is said of a dowel, which takes no wrench."""
ALLOWED = (
    'more than 0 and up to 2200 lb ft (3000 N m), with its unit, such as "120 lb ft", "160 N m" or'
    f' "90 in lb"; of a dowel "{DRIVEN[0]}" or "{DRIVEN[1]}"'
)


def wrong(field: str, typed: str) -> list[Fault]:
    """What is wrong with a torque; nothing where it is one."""
    text = units.clean(typed)
    unit = text.lstrip("+-.,/ 0123456789")
    number = text.removesuffix(unit).strip()
    if text.lower() in DRIVEN:
        return []
    factor = UNITS.get(units.spell(unit))
    if factor is None:
        remedy = "write the number the wrench was set to and its unit"
    else:
        try:
            if 0 < units.parse(number, "count") * factor <= MOST:
                return []
            remedy = "read the wrench again"
        except units.UnitError as error:
            remedy = f"{error.what}: read the wrench again"
    return [Fault(field, typed[:40], ALLOWED, remedy)]
