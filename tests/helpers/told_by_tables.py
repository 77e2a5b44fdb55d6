"""Facts from the model, and from CSV, JSON, workbook and manifest."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import defaultdict
from typing import Any

from built_jobs import Made
from soapstone.cli.building.file_names import revision_of
from soapstone.parts.documents.schedules import NO_TORQUE
from soapstone.parts.drawing.sheet import saw_length
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.numbering import numbered_welds
from soapstone.parts.rules.welds import leg_text
from soapstone.parts.stock.torque import torque
from soapstone.parts.truck import fasteners
from soapstone.parts.truck.truck import is_plate
from told import Told


def rows_of(m: Made, table: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(m.files[f"schedule/{table}.csv"].decode())))


def from_model(m: Made, t: Told) -> None:
    """What every other file is held against."""
    a = m.truck.assembly
    for n, w in numbered_welds(a).items():
        t.add("weld", n, "leg", leg_text(w.leg), "model")
        t.add("weld", n, "on", w.on, "model")
    for x in fasteners.every(m.truck, m.shop):
        t.add("bolt", x.number, "size", x.size, "model")
        t.add("bolt", x.number, "grade", x.bolt.grade, "model")
        said = torque(x.bolt, m.shop)
        t.add("bolt", x.number, "torque", NO_TORQUE if said == "-" else said, "model")
        if x.length:
            t.add("bolt", x.number, "length", x.call.split(" x ")[1], "model")
    for p in m.truck.parts:
        code = p.id
        t.add("part", code, "quantity", p.quantity, "model")
        t.add("part", code, "revision", revision_of(p, m.letters), "model")
        if isinstance(p.member.body, Tube):
            t.add("tube", code, "length", saw_length(p.member.body.length), "model")
        if isinstance(p.member.body, Plate):
            t.add("part", code, "holes", len(p.holes), "model")
            t.add("part", code, "plate", p.member.body.stock, "model")


def from_tables(m: Made, t: Told) -> None:
    """CSV, JSON and workbook."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(m.files["sheet/tables.xlsx"]))
    tabs = {}
    for name in book.sheetnames:
        head, *body = book[name].iter_rows(values_only=True)
        tabs[name] = [dict(zip(head, r, strict=True)) for r in body]
    for table, key, columns in (
        ("welds", "weld", ("leg", "on")),
        ("tacks", "weld", ("leg", "on")),
        ("bolts", "bolt", ("size", "grade", "length", "torque")),
        ("tubes", "part", ("length",)),
    ):
        sources: dict[str, Any] = {
            f"schedule/{table}.csv": rows_of(m, table),
            f"schedule/{table}.json": json.loads(m.files[f"schedule/{table}.json"]),
            "sheet/tables.xlsx": next(
                (
                    r
                    for n, r in tabs.items()
                    if re.fullmatch(rf"{table}( \d)?", n) and columns[0] in r[0]
                ),
            ),
        }
        what = {"welds": "weld", "tacks": "weld", "bolts": "bolt", "tubes": "tube"}[table]
        for where, rows in sources.items():
            for r in rows:
                for c in columns:
                    if r[c] not in ("", None):
                        t.add(what, r[key], c, str(r[c]), where)
    for where, rows in (
        ("schedule/holes.csv", rows_of(m, "holes")),
        ("schedule/holes.json", json.loads(m.files["schedule/holes.json"])),
    ):
        count: dict[str, int] = defaultdict(int)
        for r in rows:
            count[r["part"]] += 1
        for p in filter(is_plate, m.truck.parts):
            t.add("part", p.id, "holes", count[p.id], where)


def from_manifest(m: Made, t: Told) -> None:
    data = json.loads(m.files["manifest.json"])
    for r in data["parts"]:
        t.add("part", r["part"], "quantity", r["quantity"], "manifest.json")
        t.add("part", r["part"], "revision", r["revision"], "manifest.json")
        if r["t_nominal_mm"]:
            t.add("part", r["part"], "plate", r["stock"], "manifest.json")
    for r in data["files"]:
        if "part" in r:
            t.add("part", r["part"], "quantity", r["quantity"], "manifest.json")
