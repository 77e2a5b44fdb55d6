"""A build: every file of one chassis made in memory, written to a temporary folder, swapped whole."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ...layout import reader, units
from ...layout.assumed import about
from ...layout.faults import Exit, SoapstoneError
from ...layout.graph import Graph
from ...layout.job.load import Job
from ...layout.setout import given_and_solved
from ...parts.model.assembly import Part, Weld
from ...parts.model.body import Plate
from ...parts.model.numbering import numbered_bolts, numbered_welds
from ...parts.stock import Shop
from ...parts.strength.rows import Strength
from ...parts.truck.truck import Truck
from .. import disk
from . import second_core as beside
from .reuse import Reuse
from .text import csv_bytes, json_bytes

if TYPE_CHECKING:
    from ...parts.design.sizing import Check
    from ...parts.verdict.findings import Judged
    from .looking import Looked

VERSION = "0.1.0"
ASIDE = {"override.new_bottom_holes": ("XS", "FP", "DT")}
"""Families whose drawings a rule that was set aside touches."""


def setout_rows(solved: Graph) -> list[dict[str, Any]]:
    """One row per solved or waiting quantity: key, title, value in shop units, plus-minus (2u),
    role, what it rests on.
    """
    rows = []
    for r in given_and_solved(solved):
        kinds = reader.KINDS[reader.reader()]
        unit = kinds[r.unit].unit if r.unit in kinds else r.unit
        row: dict[str, Any] = {
            "key": str(r.key),
            "title": r.title,
            "role": r.role,
            "unit": unit,
            "rests_on": list(map(str, r.rests_on)),
            "value": None,
            "plus_minus": None,
            "shown": "",
        }
        if r.value is not None and r.plus_minus is not None:
            shop = lambda x, k=r.unit: reader.valued(x, k) if k in kinds else x
            shown = (
                _shown(r.key.name, r.value, r.unit)
                if r.unit in units.KIND_WORDS
                else f"{shop(r.value):.{kinds[r.unit].places if r.unit in kinds else 2}f} {unit}"
            )
            row |= {
                "value": round(shop(r.value), 6),
                "plus_minus": round(shop(r.plus_minus), 4),
                "shown": shown,
            }
        rows.append(row)
    return rows


def gave_way_rows(solved: Graph) -> list[dict[str, str]]:
    """Choices and wishes that moved so that the rest can be met: from, to, as printed."""
    return [
        {
            "key": str(k),
            "from": _shown(k.name, a, solved.unit(k)),
            "to": _shown(k.name, b, solved.unit(k)),
        }
        for k, (a, b) in solved.gave_way().items()
    ]


def _shown(name: str, value: float, kind: str) -> str:
    """As printed; a wall is never rounded to the tape's sixteenth."""
    if kind == "count":
        return f"{round(value, 3) + 0.0:g}"
    return reader.fine(value) if name.endswith(".wall") else units.show(value, kind)


def revision_of(p: Part, letters: Mapping[str, str]) -> str:
    """A part's released letter, or "d" and six of its cut fingerprint for a draft."""
    return letters.get(p.id) or f"d{p.cut_fingerprint[:6]}"


def stem_of(p: Part, chassis: str, revision: str, shop: Shop) -> str:
    """File name of a part without its ending; the cut file's own seven fields for a plate."""
    from ...parts.export import cut
    from ...parts.truck.truck import is_plate

    if is_plate(p):
        return cut.cut_name(p, chassis, revision, shop).removesuffix(".dxf")
    return f"{chassis}-{p.called.replace('.', '-')}-{revision}"


def drawing_name(stem: str, shop: Shop) -> str:
    """The drawing's own file: never the cut file's name, since only one of them is for the table."""
    base = stem.removesuffix(f"-{shop.unit}")
    return f"{base}-drawing-{shop.unit}.dxf"


def solid_name(stem: str, shop: Shop) -> str:
    """A solid's file says the unit it holds, which is mm whatever the shop cuts in."""
    return f"{stem.removesuffix(f'-{shop.unit}')}-mm.step"


def tables(
    solved: Graph, truck: Truck, shop: Shop, held: Strength, judged: Judged
) -> dict[str, bytes]:
    """Layout, verdict, checks and every schedule, CSV and JSON."""
    from ...parts.documents import schedules

    rows = setout_rows(solved)
    made = {
        "setout.json": json_bytes(rows),
        "schedule/setout.csv": csv_bytes(
            rows, ("key", "title", "shown", "value", "unit", "plus_minus", "role")
        ),
        "checks.json": json_bytes([check_row(c, 4) for c in (*truck.checks, *held.checks)]),
        "verdict.json": json_bytes(judged.as_json()),
        "loads.json": json_bytes(load_rows(held)),
    }
    for table in (
        *schedules.tables(truck, shop),
        schedules.rail(held),
        schedules.tacks(truck, held),
    ):
        made[f"schedule/{table.name}.csv"] = csv_bytes(list(table.rows), table.columns)
        made[f"schedule/{table.name}.json"] = json_bytes(table.rows)
    return made


def check_row(c: Check, places: int = 12) -> dict[str, Any]:
    """A check as data, demand and capacity in the reader's unit, which it names."""
    from ...parts.words.names import sentence
    from ...parts.words.numbers import put_in, unit_of, worded

    unit, k = unit_of(c.unit)
    return {
        **c._asdict(),
        "what": sentence(worded(c.what)),
        "demand": c.demand / k,
        "capacity": c.capacity / k,
        "unit": unit,
        "numbers": put_in(c.numbers),
        "utilisation": round(c.utilisation, places),
        "verdict": c.verdict.value,
    }


def load_rows(held: Strength) -> list[dict[str, Any]]:
    """Forces and couples in every load case, in the reader's units, truck axes, on the allowable
    scale.
    """

    def flat(n: str, x: float) -> float:
        return round(reader.valued(float(x), "moment" if n in ("couple", "bend") else "force"), 3)

    return [
        {
            "case": f.case.name,
            "hand": f.case.hand,
            "level": f.case.level,
            "factor": f.case.factor,
            "source": f.case.source,
            **{
                n: [[flat(n, x) + 0.0 for x in row] for row in getattr(f, n)]
                for n in ("joint", "lower", "couple", "upper_vec", "tyre")
            },
            **{
                n: [flat(n, x) + 0.0 for x in getattr(f, n)]
                for n in ("upper", "coil", "stop", "strap", "bend", "axial")
            },
            "bar": flat("bar", f.bar),
            "unit": reader.unit("force"),
            "couple_unit": reader.unit("moment"),
        }
        for f in held.forces
    ]


def files(
    job: Job,
    solved: Graph,
    truck: Truck,
    shop: Shop,
    held: Strength,
    say: Callable[[str], None],
    letters: Mapping[str, str] | None = None,
    says: str = "DRAFT - not released",
    kept: Mapping[str, Any] | None = None,
    level: str = "draft",
    firsts: Mapping[str, str] | None = None,
    again: Reuse | None = None,
    revision: str = "",
    looked: Looked | None = None,
    accepted: Sequence[Mapping[str, str]] = (),
) -> dict[str, bytes]:
    """Every file of the build but the manifest, by path; ``revision``: its letter, empty for a
    draft; ``again``: the last draft, whose files are taken where nothing they rest on changed;
    ``looked``: its travel and verdict, if they are there already; ``accepted``: what was signed
    for, by whom and why. Raises if a cut file does not read back as the part.
    """
    from ...parts.documents import levels
    from ...parts.drawing.setout import setout_pdf
    from ...parts.drawing.strength import strength_pdf
    from ...parts.words import names
    from . import files as kinds
    from .looking import look

    stems = {
        p.id: stem_of(p, (firsts or {}).get(p.id, job.chassis), revision_of(p, letters or {}), shop)
        for p in truck.parts
    }
    again = again or Reuse()
    foot = levels.foot(job.chassis, says, revision)
    cycle, judged = looked or look(job, solved, truck, shop, held, say)
    ready = ready_solids(truck, stems, shop, job.chassis, again)
    with beside.working(solids, truck, stems, shop, job.chassis, frozenset(ready)) as solid:
        made = tables(solved, truck, shop, held, judged) | sheets(
            job,
            truck,
            judged,
            shop,
            say,
            letters or {},
            f"released, for {level}" if letters else says,
            stems,
            again,
        )
        travel, gaps = kinds.travel_files(job, solved, cycle, judged, shop.paper, foot)
        parts = [p for p in truck.parts if judged.cut(p.id)[0]]
        nested, result = kinds.nest_files(job, parts, shop, kept or {}, foot)
        revisions = {p.id: revision_of(p, letters or {}) for p in truck.parts}
        documents, stages = kinds.document_files(
            job,
            solved,
            truck,
            shop,
            held,
            judged,
            revisions,
            level,
            says,
            result,
            gaps,
            say,
            void=levels.void(job.chassis, revision),
            accepted=accepted,
        )
        made |= travel | nested | documents
        made["sheet/strength.pdf"] = strength_pdf(
            job.chassis,
            job.words.get("job.date", ""),
            held,
            truck.checks,
            shop.paper,
            [
                f"{k.removeprefix('override.').replace('_', ' ')}: {v}"
                for k, v in job.words.items()
                if k.startswith("override.")
            ],
            foot,
            names.numbers(truck.assembly),
        )
        made["sheet/setout.pdf"] = setout_pdf(
            job.chassis,
            job.words.get("job.date", ""),
            solved,
            setout_rows(solved),
            shop.paper,
            about(
                held.assumed, "plus_minus", *(str(k) for k, r in job.readings.items() if r.assumed)
            ),
            foot,
        )
        made |= kinds.stage_files(made, stages, stems, truck, job.chassis, shop.name)
        say("the page")
        made |= {
            "index.html": kinds.page_file(
                job,
                solved,
                truck,
                shop,
                held,
                cycle,
                judged,
                says,
                stems,
                made,
                setout_rows(solved),
            )
        }
        say("solids and the placed assembly")
        return made | ready | solid()


def solids(
    truck: Truck,
    stems: Mapping[str, str],
    shop: Shop,
    chassis: str,
    ready: frozenset[str] = frozenset(),
) -> dict[str, bytes]:
    """STEP of every part and of the placed assembly, less what is ``ready``.

    The kernel is loaded only if something is left to make.
    """
    todo = {
        path: p
        for p in truck.parts
        if (path := f"solid/{solid_name(stems[p.id], shop)}") not in ready
    }
    whole = f"solid/{solid_name(f'{chassis}-assembly', shop)}"
    if not todo and (whole in ready or not truck.assembly.members):
        return {}
    from ...parts.export import step

    made = {path: step.part_text(p, shop) for path, p in todo.items()}
    if truck.assembly.members and whole not in ready:
        made[whole] = step.assembly_text(truck.assembly.members, truck.singles, shop, chassis)
    return made


def ready_solids(
    truck: Truck, stems: Mapping[str, str], shop: Shop, chassis: str, again: Reuse
) -> dict[str, bytes]:
    """Solids of the last draft that are still those of these parts."""
    stock = {p.id: _stock(p, shop) for p in truck.singles}
    found = {
        path: again.ready(path, p.member, p.holes, p.slots, stock[p.id])
        for p in truck.parts
        for path in (f"solid/{solid_name(stems[p.id], shop)}",)
    }
    whole = f"solid/{solid_name(f'{chassis}-assembly', shop)}"
    found[whole] = again.ready(
        whole,
        truck.assembly.members,
        [(p.id, p.hand, p.holes, p.slots) for p in truck.singles],
        stock,
        chassis,
    )
    return {path: data for path, data in found.items() if data is not None}


def _stock(p: Part, shop: Shop) -> Any:
    """The stock row a part is made from."""
    key = getattr(p.member.body, "stock", "")
    return shop.plate(key) if isinstance(p.member.body, Plate) else shop.tube(key)


def sheets(
    job: Job,
    truck: Truck,
    judged: Judged,
    shop: Shop,
    say: Callable[[str], None],
    letters: Mapping[str, str],
    level: str,
    stems: Mapping[str, str],
    again: Reuse,
) -> dict[str, bytes]:
    """Cut files read back, drawings; a part that is not for cutting has a drawing that says so and
    no cut file. Raises if a cut file does not read back as the part.
    """
    from ...parts import drawing
    from ...parts.documents import levels
    from ...parts.export import cut
    from ...parts.truck.truck import is_plate

    made, faults = dict[str, bytes](), []
    numbers = {
        x.id: n
        for n, x in (
            *numbered_welds(truck.assembly).items(),
            *numbered_bolts(truck.assembly).items(),
        )
    }
    for n, p in enumerate(truck.parts, 1):
        say(f"{n}/{len(truck.parts)} {p.called} {p.member.title}")
        stem = stems[p.id]
        may, why = judged.cut(p.id)
        path, stock = f"cut/{stem}.dxf", _stock(p, shop)
        if is_plate(p) and may:
            old = again.ready(
                path,
                p.member,
                p.holes,
                p.marks,
                p.slots,
                stock,
                shop.unit,
                shop.dxf,
                sorted(shop.layers.items()),
            )
            text = cut.cut_text(p, shop) if old is None else ""
            faults += cut.read_back(text, p, f"{stem}.dxf", shop) if old is None else []
            made[path] = text.encode() if old is None else old
        head = {
            "chassis": job.chassis,
            "revision": revision_of(p, letters),
            "date": job.words.get("job.date", ""),
            "level": level if may else f"NOT FOR CUTTING, {why.partition(':')[0]}",
        }
        foot = levels.part_void(job.chassis, p.number, head["revision"], p.id in letters)
        aside = [
            f"RULE SET ASIDE, {k.removeprefix('override.').replace('_', ' ')}: {v}"
            for k, v in job.words.items()
            if k.startswith("override.") and p.member.family in ASIDE.get(k, ())
        ]
        places = set(p.places)
        welds = tuple(w for w in truck.assembly.welds if places & {w.on, w.to})
        drawn: list[Any] = []

        def sheet(
            p: Part = p,
            welds: tuple[Weld, ...] = welds,
            head: dict[str, str] = head,
            aside: list[str] = aside,
            drawn: list[Any] = drawn,
        ) -> Any:
            if not drawn:
                drawn.append(drawing.sheet(p, welds, head, shop, numbers, aside))
            return drawn[0]

        rests = (
            p,
            [(w._replace(care=frozenset()), sorted(w.care)) for w in welds],
            head,
            aside,
            stock,
            reader.reader(),
            [numbers.get(x) for x in (*(w.id for w in welds), *(h.bolt for h in p.holes))],
        )
        made[f"drawing/{stem}.pdf"] = again.get(
            f"drawing/{stem}.pdf",
            lambda sheet=sheet, foot=foot: drawing.pdf([sheet()], shop.paper, foot, shop.name),
            rests,
            shop.paper,
            foot,
            shop.name,
        )  # type: ignore[misc]
        path = f"drawing/{drawing_name(stem, shop)}"
        made[path] = again.get(
            path, lambda sheet=sheet: drawing.dxf(sheet(), shop.unit), rests, shop.unit
        )  # type: ignore[misc]
    if faults:
        raise SoapstoneError(
            Exit.CHECK_FAILS,
            faults,
            "a cut file does not read back as its part; nothing was written",
        )
    return made


def part_rows(
    truck: Truck, shop: Shop, letters: Mapping[str, str], judged: Judged | None = None
) -> list[dict[str, Any]]:
    """One row a part: what it is, its fingerprint and revision, every place it goes to with the
    fingerprint there, where the first is, what it rests on; its verdict where the truck is
    ``judged``.
    """
    rows = []
    placed = {p.id: p.fingerprint for p in truck.singles}
    for p in truck.parts:
        body = p.member.body
        key = getattr(body, "stock", "")
        plate = shop.plate(key) if isinstance(body, Plate) else None
        rows.append(
            {
                "part": p.id,
                "number": p.called,
                "places": {x: placed[x] for x in p.places},
                "name": p.member.title,
                "family": p.member.family,
                "hand": p.hand,
                "stock": key,
                "quantity": p.quantity,
                "revision": revision_of(p, letters),
                "level": "released" if p.id in letters else "draft",
                "fingerprint": p.fingerprint,
                "cut": p.cut_fingerprint,
                "t_nominal_mm": plate and round(plate.thickness, 4),
                "t_measured_mm": round(plate.measured, 4) if plate and plate.taken else None,
                "steel": (plate or shop.tube(key)).steel,
                "area_net_mm2": round(p.area_net, 3),
                "area_cut_mm2": round(p.area_cut, 3),
                "mass_kg": round(p.mass, 4),
                "origin_mm": list(_origin(p)),
                "place": [[round(v, 4) + 0.0 for v in axis] for axis in p.member.place],
                "moves": {k: list(v) for k, v in p.member.moves.items()},
                "fixed_after": p.member.fixed_after,
                "rests_on": sorted({str(k) for x in p.places for k in truck.reads.get(x, ())}),
                **({} if judged is None else _verdict_of(judged, p)),
            }
        )
    return rows


def _verdict_of(judged: Judged, p: Part) -> dict[str, Any]:
    f = judged.of(p.id)
    return {"verdict": f.verdict.value, "reason": f.reason, "for_cutting": judged.cut(p.id)[0]}


def _origin(p: Part) -> tuple[float, float]:
    """From the part's own origin to the lower left of its cut file, mm."""
    from ...parts.geometry import outline

    x, y = (
        outline.bbox(p.member.body.outline)[:2] if isinstance(p.member.body, Plate) else (0.0, 0.0)
    )
    return round(x, 4) + 0.0, round(y, 4) + 0.0


def manifest(
    job: Job,
    truck: Truck,
    made: Mapping[str, bytes],
    shop: Shop,
    judged: Judged,
    letters: Mapping[str, str] | None = None,
    firsts: Mapping[str, str] | None = None,
) -> bytes:
    """manifest.json: the verdict; every file with kind, part and hash; every part with its facts
    and verdict; what is not for cutting. It omits itself.
    """
    given = letters or {}
    owner: dict[str, Part] = {}
    for p in truck.parts:
        stem = stem_of(p, (firsts or {}).get(p.id, job.chassis), revision_of(p, given), shop)
        names = (f"{stem}.dxf", f"{stem}.pdf", drawing_name(stem, shop), solid_name(stem, shop))
        owner |= dict.fromkeys(names, p)
    rows = []
    for path, data in sorted(made.items()):
        of = owner.get(path.rpartition("/")[2])
        row: dict[str, Any] = {
            "path": path,
            "kind": path.partition("/")[0] if "/" in path else "data",
            "bytes": len(data),
            "sha256": hashlib.sha256(data).hexdigest(),
        }
        if of:
            unit = "mm" if path.startswith("solid/") else shop.unit
            row |= {"part": of.id, "hand": of.hand, "quantity": of.quantity, "unit": unit}
        rows.append(row)
    return json_bytes(
        {
            "tool": VERSION,
            "job_sha256": job.sha256,
            "chassis": job.chassis,
            "kerf": "nominal size: kerf and lead-ins belong to the table",
            "files": rows,
            "verdict": judged.worst.value,
            "headline": judged.headline,
            "exit": int(judged.exit_code),
            "parts": part_rows(truck, shop, given, judged),
            "waiting": {k: list(map(str, v)) for k, v in truck.waiting.items()},
            "not_for_cutting": dict(judged.barred()),
            "say": "These are calculations, not an approval; local law decides.",
        }
    )


def write(out: Path, job: Job, made: Mapping[str, bytes]) -> Path:
    """Write ``out/<chassis>/draft`` whole.

    Files in it that its manifest does not name are kept in ``out/<chassis>/kept``.
    """
    base = out / job.chassis
    return disk.swap_in(base, "draft", made, named(base / "draft"))


def named(folder: Path) -> frozenset[str]:
    """Paths a folder's manifest names, itself too; none if it has no manifest that can be read."""
    try:
        data = json.loads((folder / "manifest.json").read_bytes())
        return frozenset(f["path"] for f in data["files"]) | {"manifest.json"}
    except (OSError, ValueError, KeyError, TypeError):
        return frozenset()
