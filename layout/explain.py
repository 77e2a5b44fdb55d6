"""Why a number is what it is: formula, numbers put in, unit, source, the readings under it and its
plus-minus; and what one changed reading changes.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from typing import NamedTuple

import numpy as np

from . import reader, units
from .faults import Exit, Fault, SoapstoneError
from .graph import Graph
from .job.fields import FIELDS, key_of, nearest, pattern
from .job.load import Job
from .job.reading import taken
from .quantities import SIDES, Derived, Key, Reading
from .setout import solve
from .setout.surety import behind, cause, doubt, plus_minus, rounded
from .travel import KINDS, Travel
from .travel.sure import Sure, used

MOST_NUMBERS = 14
"""Numbers put into a formula that are still written out one by one."""
NAMED = {
    "full bump": "at_bump",
    "ride height": "at_ride",
    "full droop": "at_droop",
    "roll, left up": "at_roll_left",
    "roll, right up": "at_roll_right",
}


def shown(graph: Graph, key: Key) -> str:
    """Value as the shop reads it, to a thousandth where a formula is followed by hand."""
    x, kind = graph.values[key], graph.unit(key)
    if kind == "length":
        return reader.fine(x)
    if kind == "angle":
        return f"{math.degrees(x):.3f} deg"
    if kind == "angle per length":
        return reader.measure(x, kind, 4 if reader.metric() else 3)
    return units.show(x, kind) if kind in units.SHORT else f"{x:.4g}"


def with_travel(graph: Graph, travel: Travel, s: Sure) -> Graph:
    """The graph with travel results at named positions, ``at_bump.caster.left`` and the like; each
    rests on what the linkage rests on.
    """
    if travel.pose is None:
        return graph
    ins = frozenset(used(graph))
    rows = []
    for number, place in enumerate(travel.places):
        for key, values in travel.found.items() if place.name in NAMED else ():
            if np.isfinite(values[number]):
                kind = KINDS[key.name][0]
                sure = (
                    f"; ±{doubt(2 * float(s.u[key][number]), kind)}, mostly from"
                    f" {', '.join(str(leaf) for leaf, _ in s.dominating(key, number))}"
                    if key in s.u and kind in ("length", "angle")
                    else ""
                )
                rows.append(
                    Derived(
                        Key(f"{NAMED[place.name]}.{key.name}", key.side),
                        float(values[number]),
                        ins,
                        f"{KINDS[key.name][1]} at {place.name}: least bushing energy with axle"
                        f" height, roll and track-bar length held{sure}",
                        "exact Newton on the constrained energy of four bushings; rigid arms",
                        KINDS[key.name][0],
                    )
                )
    return graph.extend(rows)


def find(g: Graph, name: str) -> tuple[Key, ...]:
    """Keys a typed name means: with its side, or both sides.

    Raises SoapstoneError with the nearest known names.
    """
    key = key_of(name)
    known = {*g.every_key(), *g.readings}
    hits = [x for x in (key, *(Key(name, side) for side in SIDES), Key(name, "C")) if x in known]
    if not hits:
        near = nearest(name, tuple(sorted({str(x) for x in known})))
        near = "`solve` prints every name" if near.startswith("`new`") else near
        raise SoapstoneError(
            Exit.COMMAND_LINE,
            [
                Fault(
                    name[:80],
                    "",
                    "a name that `solve` prints, a field of the job file, or at_bump.caster.left"
                    " and the like",
                    near,
                )
            ],
        )
    return tuple(dict.fromkeys(hits))


def _circumstances(reading: Reading) -> str:
    """At which height a reading was taken, by whom, when and with what, as far as it was said."""
    state = f", read {reading.state}" if reading.state not in ("", "any") else ""
    who = taken(reading)
    return state + (f", {who}" if who else "")


def explained(g: Graph, k: Key) -> list[str]:
    """Lines of the explanation of one quantity."""
    title = g.title(k) or (
        FIELDS[pattern(k.name)].how
        if pattern(k.name) in FIELDS
        else KINDS.get(k.name.partition(".")[2], ("", ""))[1]
    )
    role = g.role(k)
    if role == "waiting":
        return [f"{k}: {title}", f"  waits for {', '.join(map(str, sorted(g.rests_on(k))))}"]
    if k not in g.values:
        return [f"{k}: {title}", "  has no solution with these readings; `solve` says why"]
    u = plus_minus(g, k)
    out = [
        f"{k} = {shown(g, k)}  "
        f" ({rounded(g.values[k], g.unit(k))}{f' ±{doubt(u, g.unit(k))}' if u > 0 else ''}),"
        f" {role}: {title}"
    ]
    r = g.readings.get(k)
    if r is not None and role in ("measured", "choice", "wanted", "conflict"):
        typed = (
            f"typed {' / '.join(r.typed)}"
            if r.typed
            else "shop default, nobody measured it: ASSUMED"
        )
        return [
            *out,
            f"  {typed}{_circumstances(r)};"
            f" ± {doubt(r.half_width, g.unit(k)) if r.half_width else 'none'}",
        ]
    steps = g.steps(k)
    for step, numbers in steps[-1:] if k in g.derived else steps:
        name = str(step.key) if isinstance(step, Derived) else step.out
        put = ", ".join(f"{i} = {shown(g, i)}" for i in numbers if i in g.values)
        many = len(numbers) > MOST_NUMBERS
        out.append(f"  {name}: {step.formula}   [{step.source}]")
        out.append(f"      with {put if not many else f'{len(numbers)} layout values'}")
    rows = behind(g, cause(k) if cause(k) in g.values else k, 5)
    if rows:
        cut = "" if cause(k) == k else " as built, its upper arms cut to the readings,"
        out.append(f"  ±{cut} mostly from " + ", ".join(f"{i} {100 * s:.0f} %" for i, s in rows))
    leaves = sorted(g.rests_on(k))
    assumed = [i for i in leaves if i in g.readings and g.readings[i].assumed]
    out.append(f"  rests on {len(leaves)} readings: " + ", ".join(map(str, leaves)))
    if assumed:
        out.append("  ASSUMED, shop defaults: " + ", ".join(map(str, assumed)))
    return out


class LayoutChange(NamedTuple):
    """One layout value that changes."""

    key: Key
    was: float
    now: float
    unit: str


def supposed(job: Job, changes: Mapping[Key, float]) -> Job:
    """The job with readings changed (internal units)."""
    readings = dict(job.readings)
    for key, x in changes.items():
        old = readings.get(key)
        readings[key] = old._replace(value=x) if old else _reading(key, x)
    return job._replace(readings=readings)


def _reading(key: Key, x: float) -> Reading:
    """A reading of its field's usual plus-minus."""
    field = FIELDS[pattern(key.name)]
    return Reading(
        key=key,
        typed=(),
        value=x,
        half_width=field.half_width,
        state="ride" if field.state == "said" else field.state,
        by="",
        date="",
        role=field.role,
    )


def parse_changes(job: Job, typed: Iterable[str]) -> dict[Key, float]:
    """``axle.kpi=8.25`` and the like; every fault in one go."""
    headers = {
        key.partition(".")[2]: word for key, word in job.words.items() if key.startswith("units.")
    }
    found: dict[Key, float] = {}
    faults = []
    for text in typed:
        name, sign, value = text.partition("=")
        key = key_of(name.strip())
        field = FIELDS.get(pattern(key.name))
        if not sign or field is None or field.is_word:
            faults.append(
                Fault(
                    name.strip()[:80],
                    text[:80],
                    "FIELD=VALUE with a number field of the job file",
                    nearest(name.strip()) if field is None else "write FIELD=VALUE",
                )
            )
            continue
        keys = (
            [key]
            if key.side != "C" or not field.sided
            else [Key(key.name, "L"), Key(key.name, "R")]
        )
        try:
            x = units.parse(
                value.strip() if not _plain(value) else float(value),
                field.kind,
                headers.get(field.kind),
            )
        except units.UnitError as error:
            faults.append(
                Fault(
                    name.strip(), value, field.range_text(headers.get(field.kind, "")), str(error)
                )
            )
            continue
        if not field.low <= x <= field.high:
            faults.append(
                Fault(
                    name.strip(), value, field.range_text(headers.get(field.kind, "")), field.remedy
                )
            )
        found |= dict.fromkeys(keys, x)
    if faults:
        raise SoapstoneError(Exit.COMMAND_LINE, faults)
    return found


def _plain(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def differences(before: Graph, after: Graph) -> list[LayoutChange]:
    """Layout values that differ by more than 0.0005 in, 0.001 deg or 1e-5 of themselves; values
    that come or go too (NaN).
    """
    least = {"length": 0.0005 * units.IN, "angle": math.radians(0.001)}
    rows = []
    for key in dict.fromkeys((*before.every_key(), *after.every_key())):
        if key in before.readings and before.role(key) in ("measured", "choice", "wanted"):
            continue
        x, y = before.values.get(key, math.nan), after.values.get(key, math.nan)
        if math.isnan(x) and math.isnan(y):
            continue
        if math.isnan(x) != math.isnan(y) or abs(x - y) > least.get(
            before.unit(key), 1e-5 * max(abs(x), abs(y))
        ):
            rows.append(LayoutChange(key, x, y, after.unit(key)))
    return rows


__all__ = [
    "LayoutChange",
    "differences",
    "explained",
    "find",
    "parse_changes",
    "shown",
    "solve",
    "supposed",
    "with_travel",
]
