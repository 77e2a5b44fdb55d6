"""The strength sheets for whoever signs: assumptions, load cases with their sources, forces at
every joint, every row with its clause, formula and the numbers put in, and what is not held against
anything.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence

import numpy as np
import numpy.typing as npt

from ...layout import units
from ...layout.loads.forces import Forces
from ...layout.reader import measure, metric, unit, valued
from ..design.sizing import Check
from ..model.vectors import Array, Vec2
from ..model.verdict import Verdict
from ..strength.ear import Loaded
from ..strength.elements.coil_seat_plate import Seat, contours
from ..strength.elements.plate import Solved
from ..strength.result import NOT_CHECKED, Strength
from ..truck.pins import on_paper
from ..words import names
from ..words import numbers as shown
from .display import Sheet, pdf
from .pages import INNER, listing, page, table
from .sheet import MARGIN

SAY = (
    "Calculations, not an approval: they do not replace the judgment of whoever may sign for the"
    " work; local law decides. Steering and brakes are never passed by a tool."
)
KIND = "Strength"
Say = Callable[[str], str]
Head = tuple[str, str, str, str, str]
"""Chassis, date, kind, subject, line at the foot: what ``page`` takes."""

PART = re.compile(r"[A-Z]{2}\d+(\.[LRC])?")
"""The model's id of a made part."""


def strength_pdf(
    chassis: str,
    date: str,
    found: Strength,
    sizing: Sequence[Check],
    paper: str = "letter",
    aside: Sequence[str] = (),
    foot: str = "",
    numbers: Mapping[str, str] | None = None,
) -> bytes:
    """The sheets; what waits is said. ``numbers``: id -> number of welds and bolts."""

    def say(text: str) -> str:
        return shown.worded(names.sentence(text, numbers))

    def head(what: str) -> Head:
        return chassis, date, KIND, what, SAY

    if found.waits:
        owed = "No load case can be worked: these readings are owed"
        lists = [
            (owed, list(map(str, found.waits))),
            ("ASSUMED, nobody measured it", [*map(str, found.assumed)]),
        ]
        return pdf(listing(head("waits"), lists), paper, foot)
    sheets: list[Sheet] = [
        *listing(head("what it rests on"), _basis(found, aside, say, numbers or {}))
    ]
    sheets += table(
        head(
            f"forces, {'kN; bending kN m' if metric() else '1000 lbf; bending 1000 lbf*in'}; upper"
            " arms pushed +, bar pulled +"
        ),
        _COLUMNS,
        [_row(forces) for forces in found.telling],
    )
    for what, rows in (
        ("under load, least margin first", found.checks),
        ("shop and code rules, least margin first", tuple(sizing)),
    ):
        worst_first = sorted(rows, key=lambda check: -check.utilisation)
        sheets += table(head(what), _ROWS, [_check(check, say) for check in worst_first])
    rail = head("rail along the coil-seat plate, of the rail as measured")
    sheets += table(rail, _STATIONS, _stations(found))
    sheets += [
        _picture(head(f"coil-seat plate {names.part(part)}, finite elements"), got, most)
        for part, (got, most) in found.seats.items()
    ]
    return pdf(sheets or [page(*head("nothing to show"))], paper, foot)


def _stations(found: Strength) -> list[list[str]]:
    """The rail's stiffness at each station, as a share of the rail as measured."""
    ways = ("vertical", "held", "lateral", "torsion")
    return [
        [
            {"L": "left", "R": "right"}[side],
            measure(station.ahead, "length"),
            station.what,
            *(f"{100 * station.ratio[way]:.0f} %" if way in station.ratio else "" for way in ways),
        ]
        for side, stations in found.stations.items()
        for station in stations
    ]


def _basis(
    found: Strength, aside: Sequence[str], say: Say, numbers: Mapping[str, str]
) -> list[tuple[str, list[str]]]:
    """Lists under headings: the worst first, then what everything rests on."""
    cases = {forces.case.name: forces.case for forces in found.forces}
    least = [
        f"{say(check.part)}: {say(check.what)}, {check.utilisation:.2f} used, {check.case}"
        for check in found.checks[:1]
    ]
    failing = [
        f"{say(check.part)}: {say(check.what)}, {check.utilisation:.2f}, {check.case}"
        for check in found.checks
        if check.verdict is Verdict.FAILS
    ]
    loads = [
        f"{case.name} ({case.level}), factor {case.factor:g}: {case.says}. {case.source}"
        for case in cases.values()
    ]
    grown = [say(on_paper(words)) for words in found.grown]
    return [
        ("Least margin", least),
        ("Rows that fail: these parts are not for cutting", failing),
        ("Made larger for its loads, over the lightest that fits", grown),
        ("Load cases", loads),
        *_method(found, aside),
        *_covered(found, say, numbers),
    ]


def _covered(found: Strength, say: Say, numbers: Mapping[str, str]) -> list[tuple[str, list[str]]]:
    """What is held by what, and what is not held and why: every part, bolt and weld made here."""

    def called(ids: Iterable[str]) -> str:
        """Parts by name, welds and bolts by number; a hole no bolt goes in has none."""
        known = [numbers.get(name) or (say(name) if PART.fullmatch(name) else "") for name in ids]
        return ", ".join(filter(None, known)) or "holes without a bolt"

    held = [f"{say(says)}: {called(ids)}" for says, ids in found.held_by]
    rest = [f"{called(entry.ids)}: {entry.why} ({entry.whose})" for entry in found.not_held]
    return [("Held, and by which row", held), ("Not held, and why", rest)]


def _method(found: Strength, aside: Sequence[str]) -> list[tuple[str, list[str]]]:
    """How loads and forces were found, and what is not held against anything."""
    return [
        (
            "Levels",
            [
                (
                    "Forces of what happens often stand against allowable strength (nominal over"
                    " 2.00 for bolts, welds and bearing, over 1.67 for yield). Forces of what is"
                    " rare are divided by 1.5 first; that mapping is project judgment after AISC"
                    " 360 B3."
                ),
                "No published table of wheel forces of light off-road trucks was found.",
            ],
        ),
        ("RULES SET ASIDE", list(aside)),
        ("ASSUMED, nobody measured it", [*map(str, found.assumed)]),
        ("Load factors of the shop's own", list(found.notes)),
        (
            "How the forces are found",
            [
                "Axle, both arms and both upper arms are bodies on four linear bushings; arms bend;"
                " the track bar is a bar; coils push, bump stops and limiters act one way. Linear"
                " at ride height: at large roll the forces are an estimate. Wheel and axle inertia"
                " is left out (safe side). Largest force left over in any case: "
                + f"{measure(max(force.residual for force in found.forces), 'force', 3)}."
            ],
        ),
        ("Not held against anything here", list(NOT_CHECKED)),
        (
            "Values whose source is unverified",
            [
                "Rows marked unverified source rest on a value whose source was not seen. Where"
                " such a row is met with more than 0.8 used it says confirm: that is no pass on its"
                " own, have it confirmed."
            ],
        ),
    ]


_STATIONS = (
    ("rail", 50),
    ("ahead of the coil", 90),
    ("station", 250),
    ("vertical bending", 90),
    ("held sideways", 80),
    ("sideways bending", 90),
    ("torsion", 60),
)
_ROWS = (
    ("part", 62),
    ("use", 30),
    ("", 34),
    ("what", 150),
    ("case", 92),
    ("clause and formula", 160),
    ("numbers put in", 182),
)
_COLUMNS = (
    ("case", 92),
    ("frame joint left x/y/z", 92),
    ("frame joint right x/y/z", 92),
    ("lower bolts", 56),
    ("upper arms", 62),
    ("track bar", 44),
    ("coils", 56),
    ("stops", 56),
    ("limiters", 56),
    ("arm bending", 62),
)


def _row(case: Forces) -> list[str]:
    kip = 1000.0 if metric() else units.LBF * 1000

    def n(forces: npt.ArrayLike, one: float = kip) -> str:
        return " / ".join(f"{round(float(x) / one, 2) + 0.0:.2f}" for x in np.ravel(forces))

    hand = {"L": ", left wheel", "R": ", right wheel"}.get(case.case.hand, "")
    bushings = f", {case.bushings}" if case.bushings else ""
    return [
        f"{case.case.name}{hand}{bushings}",
        n(case.joint[0]),
        n(case.joint[1]),
        n(np.linalg.norm(case.lower, axis=1)),
        n(case.upper),
        n(case.bar),
        n(case.coil),
        n(case.stop),
        n(case.strap),
        n(case.bend, kip * (1000.0 if metric() else units.IN)),
    ]


def _check(check: Check, say: Say) -> list[str]:
    mark = {"memory": " (unverified source)", "read*": " (second-hand)"}.get(check.tag, "")
    return [
        say(check.part),
        f"{check.utilisation:.2f}",
        check.verdict.value,
        f"{say(check.what)}: {shown.ruled(check.demand, check.unit)} of"
        f" {shown.ruled(check.capacity, check.unit)}",
        check.case or "any",
        f"{check.clause}{mark}: {shown.worded(check.formula)}",
        shown.put_in(check.numbers),
    ]


def cheeks_pdf(
    chassis: str, date: str, found: Mapping[str, Loaded], paper: str = "letter"
) -> bytes:
    """Pictures of cheeks in finite elements: lines of equal stress, the force along their welds."""
    return pdf(
        [
            _cheek((chassis, date, KIND, f"{names.part(part)}, finite elements", SAY), got)
            for part, got in found.items()
        ],
        paper,
    )


def _cheek(head: Head, got: Loaded) -> Sheet:
    sheet = page(*head)
    peak = got.checks[0].demand
    at = _drawn(
        sheet, got.solved, got.lines, [(peak * share, peak * share) for share in (0.25, 0.5, 0.75)]
    )
    for middle, force in got.seams:
        x, y = at(middle)
        sheet.text(x - 14, y - 9, shown.plain(round(valued(force, "rate"), 0)), 6.5)
    for index, check in enumerate(got.checks):
        sheet.text(
            MARGIN + 8,
            150 - 12 * index,
            f"{shown.worded(names.sentence(check.what))}: {shown.ruled(check.demand, check.unit)}"
            f" of {shown.ruled(check.capacity, check.unit)}, {check.utilisation:.2f}, {check.case}",
            7.5,
        )
    sheet.text(
        MARGIN + 8,
        124,
        f"Lines of equal stress in {unit('stress')}; figures along the welds are {unit('rate')},"
        f" each over {shown.room(20)}. Dashed: welds and bolt, about which one thickness is left"
        " out. Peaks are not reported.",
        7.5,
    )
    sheet.text(
        MARGIN + 8,
        112,
        "Elastic: the hand rules let a whole section yield, in a flat bar's own plane half as much"
        " again. A warning, not a verdict.",
        7.5,
    )
    return sheet


def _drawn(
    sheet: Sheet, solved: Solved, lines: Sequence[Array], levels: Sequence[tuple[float, float]]
) -> Callable[[Sequence[float] | Array], Vec2]:
    """Rim, dashed lines and lines of equal stress of a mesh on a sheet; ``levels``: stress in the
    mesh's own units and as lettered, MPa. Gives where a point of the plate is drawn.
    """
    mesh = solved.mesh
    low, high = mesh.nodes.min(axis=0), mesh.nodes.max(axis=0)
    scale = min((INNER - 60) / (high[0] - low[0]), 330 / (high[1] - low[1]))

    def at(point: Sequence[float] | Array) -> Vec2:
        return MARGIN + 30 + scale * float(point[0] - low[0]), 170 + scale * float(
            point[1] - low[1]
        )

    shared: dict[tuple[int, int], int] = {}
    for first, second, third in mesh.tris:
        for one, two in ((first, second), (second, third), (third, first)):
            edge = (min(one, two), max(one, two))
            shared[edge] = shared.get(edge, 0) + 1
    for (one, two), triangles in shared.items():
        if triangles == 1:
            sheet.line(at(mesh.nodes[one]), at(mesh.nodes[two]), kind="wide")
    for line in lines:
        sheet.poly([at(point) for point in line], "dashed", False)
    for (_, stress), rows in zip(
        levels, contours(solved, [own for own, _ in levels]).values(), strict=True
    ):
        for start, end in rows:
            sheet.line(at(start), at(end))
        if rows:
            x, y = at(max((start for start, _ in rows), key=lambda point: point[0]))
            sheet.text(x + 4, y - 2, measure(stress, "stress", 0), 6.5)
    return at


def _picture(head: Head, got: Seat, most: float) -> Sheet:
    """One plate: its mesh's rim, weld lines, lines of equal stress at the largest force of coil and
    stop.
    """
    sheet = page(*head)
    _drawn(
        sheet,
        got.solved,
        got.lines,
        [(got.per_newton * share, got.per_newton * share * most) for share in (0.25, 0.5, 0.75)],
    )
    force = f"{measure(most, 'force')} of coil and stop"
    sheet.text(
        MARGIN + 8,
        140,
        f"At {force}: {measure(got.per_newton * most, 'stress')} one thickness off the welds"
        " (dashed). Lines of equal stress at a quarter, a half and three quarters of it. Peaks at"
        " weld ends are not reported.",
        7.5,
    )
    sheet.text(
        MARGIN + 8,
        128,
        "Held along its welds, lying on the sound wall; the mount's back plate on it is joined at"
        " its welds only and kept straight by gussets and seat. Refined until the answer moved"
        f" {100 * got.moved:.0f} % (less than 3 % asked).",
        7.5,
    )
    return sheet
