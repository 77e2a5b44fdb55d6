"""What the form knows: every field with its stop, place in the sketch, range and unit, what the job
says already, which part rests on what, and what must add up.
"""

from __future__ import annotations

from typing import TypeAlias

from ...layout import units
from ...layout.job.closures import APART, CLOSURES, ORDERS, SLACK
from ...layout.job.field import Field, key_of
from ...layout.job.fields import FIELDS, LEAST_ROWS, LISTS
from ...layout.job.handed import FORM, MOST_PHOTO, MOST_REMARK
from ...layout.job.load import Job
from ...layout.job.reading import MOST_REPEATS
from ...layout.job.sheet import paths_of
from ...layout.job.taped import MAX_ROWS
from ...layout.job.walk import STOPS, stop_of, walked
from ..drawing.spans import span
from ..pieces import existing
from ..truck.needs import first_fields, kept
from ..words.terms import spoken

Fact: TypeAlias = "str | float | bool | list[Fact] | dict[str, Fact] | None"
FIRST = "what is cut first"
"""Asked before anything else: the short form of the job file."""
FINE = units.IN / 48
"""A reading surer than this is by caliper: decimals, not sixteenths (judgment, no source)."""
STATE_WORDS = {
    "ride": "at ride height",
    "stand": "frame on stands",
    "droop": "axle hanging",
}
_AXES = {
    "x": "along the truck",
    "y": "across the truck",
    "z": "up and down",
    "x1": "rear end, along",
    "x2": "front end, along",
    "z1": "rear end, up and down",
    "z2": "front end, up and down",
    "bolt_dx": "bolt spacing, along",
    "bolt_dy": "bolt spacing, across",
}
_LISTED = {
    "frame.station": "station",
    "frame.notch.proud": "reading along the bulge",
    "frame.hole": "hole",
    "travel.obstacle": "obstacle",
}
_SWAPPED = {
    "wanted": "wish",
    "od": "outside diameter",
    "cg": "center of gravity",
    "kpi": "kingpin inclination",
    "tpi": "threads per inch",
    "bush": "bushing",
}


def facts(job: Job) -> dict[str, Fact]:
    """Everything the form's script asks, ready for JSON; lengths in mm, angles in radians."""
    fields = sorted(
        (field for field in FIELDS.values() if field.at_truck),
        key=lambda field: walked(field.name),
    )
    headers = {kind: job.words.get(f"units.{kind}", units.readers(kind)) for kind in units.SHORT}
    return {
        "form": FORM,
        "chassis": job.chassis,
        "by": job.words.get("job.by", ""),
        "stops": [spoken(title) for title, _ in STOPS],
        "states": dict(STATE_WORDS.items()),
        "fields": [_fact(field, headers.get(field.kind, "")) for field in fields],
        "lists": {
            name: {
                "rows": max(job.counts.get(name, 0), LEAST_ROWS[name]),
                "title": _LISTED[name],
            }
            for name in LISTS
        },
        "known": {path: typed for path, typed in _known(job).items() if typed},
        "units": {kind: _kind(kind, header) for kind, header in headers.items()},
        "parts": _parts([field.name for field in fields]),
        "closures": _closures(),
        "orders": _orders(),
        "slack": SLACK,
        "apart": dict(APART.items()),
        "most": {
            "remark": MOST_REMARK,
            "repeats": MOST_REPEATS,
            "rows": MAX_ROWS,
            "photo": MOST_PHOTO,
            "text": units.MAX_TEXT,
        },
    }


def _closures() -> Fact:
    """Dimensions that must add up, each with the way out."""
    return [
        {
            "path": closure.path,
            "adds": list(closure.adds),
            "less": list(closure.less),
            "says": spoken(closure.says),
            "remedy": spoken(closure.remedy),
        }
        for closure in CLOSURES
    ]


def _orders() -> Fact:
    """Readings of which one is never above the other."""
    return [
        {
            "low": order.low,
            "high": order.high,
            "remedy": spoken(order.remedy),
            "says": spoken(said(order.high)),
        }
        for order in ORDERS
    ]


def said(name: str) -> str:
    """A field's name for people; in a list without the list and the numbers of its rows.

    >>> said("axle.lower_mount.x"), said("frame.station.*.outer")
    ('axle: lower mount, along the truck', 'outer')
    """
    base = next((start for start in LISTS if name.startswith(f"{start}.*")), "")
    table, *words = name.removeprefix(f"{base}.*").split(".")
    told = ", ".join(_AXES.get(word) or _plain(word) for word in words)
    return told if base else f"{_plain(table)}: {told}"


def _plain(word: str) -> str:
    return " ".join(_SWAPPED.get(part, part) for part in word.split("_"))


def _fact(field: Field, unit: str) -> dict[str, Fact]:
    place = span(field)
    sure = "" if field.is_word or field.role != "measured" else _sure(field, unit)
    return {
        "name": field.name,
        "code": field.sheet_code,
        "title": spoken(said(field.name)),
        "how": spoken(field.how),
        "kind": field.kind,
        "role": field.role,
        "sided": field.sided and not field.is_word,
        "state": field.state,
        "low": field.low,
        "high": field.high,
        "range": "" if field.words else field.range_text(unit).replace(" .. ", " to "),
        "remedy": spoken(field.remedy),
        "words": list(field.words),
        "unit": "" if field.is_word else unit,
        "sure": sure,
        "fine": 0 < field.half_width < FINE,
        "safety": field.safety,
        "needed": field.needed and (field.default is None or field.safety),
        "when": field.when,
        "instead": list(field.instead),
        "list": next((start for start in LISTS if field.name.startswith(f"{start}.*")), ""),
        "stop": stop_of(field.name),
        "at": list(place.at),
        "start": None if place.start is None else list(place.start),
        "plan": place.plan,
    }


def _sure(field: Field, unit: str) -> str:
    """How sure the reading usually is, in its unit."""
    if field.half_width <= 0:
        return ""
    if field.half_width < FINE and field.kind == "length":
        number = f"{units.to(field.half_width, 'length', unit):.3f}".rstrip("0")
        return f"± {number} {unit}"
    return f"± {units.show(field.half_width, field.kind, unit, 32)}"


def _known(job: Job) -> dict[str, str]:
    """What the job says already, as typed, by path."""
    found = {}
    for field, path in paths_of(job):
        if field.desk:
            continue
        if field.is_word:
            found[path] = job.words.get(path, "")
            continue
        got = job.readings.get(key_of(path))
        found[path] = got.typed[0] if got and got.typed and not got.assumed else ""
    return found


def _kind(kind: str, header: str) -> dict[str, Fact]:
    """Units a reading of a kind may be typed in, with the factors of each, and a bare number's."""
    return {
        "header": header,
        "factors": dict(units.TABLE[kind].items()),
        "word": units.KIND_WORDS[kind],
        "example": units.EXAMPLES[kind],
    }


def _parts(names: list[str]) -> list[Fact]:
    """What is cut first and every part family, with the numbers of the fields it rests on."""
    number = {name: float(index) for index, name in enumerate(names)}
    rows = {row.title: (row.code, row.fields) for row in kept() if row.code != existing.FAMILY.code}
    return [
        {
            "title": spoken(title),
            "code": code,
            "fields": [place for name, place in number.items() if name in fields],
        }
        for title, (code, fields) in {FIRST: ("1st", first_fields()), **rows}.items()
    ]
