"""One quantity, one value: a whole build is read back, file by file, and every fact found twice is
the same fact.

Readers: pypdf (sheets), ezdxf (cut files, drawings), STEP text, csv, json, openpyxl (workbook), the
page's HTML. Each collector gives (what, whose, which) -> value with the file it stands in;
``Told.twice`` compares. Another job is one more entry of ``JOBS``. A fact of the trade here is
common practice, no source.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any, NamedTuple

import pytest
from pypdf import PdfReader
from soapstone.cli.building.build import Build
from soapstone.cli.building.design import Designed
from soapstone.cli.building.every_file import files as every_file
from soapstone.cli.building.file_names import drawing_name, revision_of, solid_name, stem_of
from soapstone.layout.graph import Graph
from soapstone.layout.job.load import Job
from soapstone.layout.setout import solve
from soapstone.parts.documents.schedules import NO_TORQUE
from soapstone.parts.drawing.sheet import saw_length
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.numbering import numbered_bolts, numbered_welds
from soapstone.parts.rules.welds import MM_LEGS, leg_text
from soapstone.parts.stock import Shop, default_shop
from soapstone.parts.stock.torque import torque
from soapstone.parts.strength.growth import held
from soapstone.parts.strength.rows import Strength
from soapstone.parts.truck import fasteners
from soapstone.parts.truck.truck import Truck, is_plate
from soapstone.parts.verdict.findings import Judged
from soapstone.parts.words import names
from trucks import job

METRIC = {"1/2-13": "M12x1.75", "5/8-11": "M16x2", "3/4-10": "M20x2.5"}


class Made(NamedTuple):
    """A job with everything that was made of it."""

    job: Job
    solved: Graph
    truck: Truck
    shop: Shop
    strength: Strength
    judged: Judged
    files: dict[str, bytes]


def metric() -> tuple[Job, Shop]:
    """The demo with metric bolts under a channel frame, by a shop that cuts in mm and welds in mm
    legs.
    """
    j = job()
    words = {k: METRIC.get(v, v) for k, v in j.words.items()} | {
        "frame.section": "channel",
        "frame.open_side": "inboard",
    }
    shop = default_shop()._replace(unit="mm", legs=MM_LEGS, paper="A4", friction="dry")
    return j._replace(words=words), shop


JOBS: dict[str, Callable[[], tuple[Job, Shop]]] = {
    "demo": lambda: (job("demo"), default_shop()._replace(friction="oiled")),
    "uneven": lambda: (job("demo_uneven"), default_shop()),
    "metric": metric,
}


@cache
def made(name: str) -> Made:
    """Built once a job, in memory."""
    j, shop = JOBS[name]()
    solved = solve(j)
    h = held(solved, j.words, j.pins, j.chassis, shop)
    d = Designed(j, solved, h.truck, shop, h.strength)
    looked = d.looked()
    return Made(j, solved, h.truck, shop, h.strength, looked.judged, every_file(Build(d, looked)))


class Told:
    """What the files say: fact -> value -> where it stands."""

    def __init__(self) -> None:
        self.facts: dict[tuple[str, str, str], dict[Any, list[str]]] = defaultdict(dict)

    def add(self, what: str, whose: str, which: str, value: Any, where: str) -> None:
        if which == "on":
            # lists name the side in words, tables by the place's code: the code is what must agree
            value = str(value).replace(".", " ").split()[0]
        self.facts[what, whose, which].setdefault(value, []).append(where)

    def apart(self) -> list[str]:
        """Facts with more than one value."""
        return [
            f"{' '.join(k)}: " + "; ".join(f"{v!r} in {', '.join(w[:3])}" for v, w in found.items())
            for k, found in self.facts.items()
            if len(found) > 1
        ]

    def places(self, what: str, which: str) -> set[str]:
        """Kinds of file a fact was found in."""
        return {
            re.sub(r"[^/]*$", "", w) + w.rpartition(".")[2]
            for (a, _, b), found in self.facts.items()
            if (a, b) == (what, which)
            for rows in found.values()
            for w in rows
        }


def words_of(data: bytes) -> str:
    """A PDF's text, a line a row."""
    return "\n".join(p.extract_text() for p in PdfReader(io.BytesIO(data)).pages)


def rows_of(m: Made, table: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(m.files[f"schedule/{table}.csv"].decode())))


def from_model(m: Made, t: Told) -> None:
    """What every other file is held against."""
    a = m.truck.assembly
    for n, w in numbered_welds(a).items():
        t.add("weld", n, "leg", leg_text(w.leg), "model")
        t.add("weld", n, "on", w.on, "model")
    for x in fasteners.every(m.truck, m.shop):
        t.add("bolt", x.number, "size", x.bolt.size, "model")
        t.add("bolt", x.number, "grade", x.bolt.grade, "model")
        said = torque(x.bolt, m.shop)
        t.add("bolt", x.number, "torque", NO_TORQUE if said == "-" else said, "model")
        if x.length:
            t.add("bolt", x.number, "length", x.call.split(" x ")[1], "model")
    for p in m.truck.parts:
        code = p.id
        t.add("part", code, "quantity", p.quantity, "model")
        t.add("part", code, "revision", revision_of(p, {}), "model")
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


def stems(m: Made) -> dict[str, str]:
    return {stem_of(p, m.job.chassis, revision_of(p, {}), m.shop): p.id for p in m.truck.parts}


def from_cut_files(m: Made, t: Told) -> None:
    """Names say chassis, number, revision, hand, thickness, quantity, unit; layers say how many
    holes.
    """
    import ezdxf

    for stem, part in stems(m).items():
        data = m.files.get(f"cut/{stem}.dxf")
        if data is None:
            continue
        where = f"cut/{stem}.dxf"
        chassis, code, revision, _, _, count, unit = stem.split("-")
        body = next(p for p in m.truck.parts if p.id == part)
        assert (chassis, code, unit) == (m.job.chassis, body.number, m.shop.unit)
        t.add("part", part, "revision", revision, where)
        t.add("part", part, "quantity", int(count.removeprefix("q")), where)
        space = ezdxf.read(io.StringIO(data.decode())).modelspace()
        drilled = len(space.query(f'*[layer=="{m.shop.layers["DRILL"]}"]')) // 2
        loops = len(space.query(f'*[layer=="{m.shop.layers["OPENING"]}"]'))
        own = len(body.member.body.openings) + len(body.slots)  # type: ignore[union-attr]
        t.add("part", part, "holes", drilled + loops - own, where)


class Lettered(NamedTuple):
    at: tuple[float, float]
    words: str


def drawn(data: bytes) -> tuple[list[Lettered], float]:
    """A drawing file's words with their places, and the size of a point in it."""
    import ezdxf

    space = ezdxf.read(io.StringIO(data.decode())).modelspace()
    found = [
        Lettered(tuple(e.get_placement()[1])[:2], e.dxf.text)  # type: ignore[arg-type]
        for e in space.query("TEXT")
    ]
    mark = next(e for e in space.query("TEXT") if e.dxf.text == "Quantity")
    return found, mark.dxf.height / (0.72 * 7)


def from_drawings(m: Made, t: Told) -> None:
    """Title block, weld symbols, hole table, a tube's length; DXF by place, PDF by words."""
    for stem, part in stems(m).items():
        where = f"drawing/{drawing_name(stem, m.shop)}"
        words, k = drawn(m.files[where])
        block = {
            a.words: b.words
            for a in words
            for b in words
            if a.words in ("Quantity", "Revision", "Part")
            and abs(a.at[1] - b.at[1]) < k
            and abs(b.at[0] - a.at[0] - 42 * k) < k
        }
        t.add("part", part, "quantity", int(block["Quantity"]), where)
        t.add("part", part, "revision", block["Revision"], where)
        own = next(p for p in m.truck.parts if p.id == part)
        assert block["Part"].startswith(own.number + " ")
        body = own.member.body
        pdf = words_of(m.files[f"drawing/{stem}.pdf"])
        if isinstance(body, Tube):
            length = next(w.words for w in words if re.search("square cut|long point to", w.words))
            t.add("tube", part, "length", re.sub(r" (square|long).*", "", length), where)
            assert length in pdf
        else:
            holes = {x[1] for w in words if (x := re.match(r"(H\d+)  ", w.words))}
            t.add("part", part, "holes", len(holes), where)
            assert all(re.search(rf"^{h}\b", pdf, re.M) for h in holes)
        for n in (w for w in words if re.fullmatch(r"W\d+", w.words)):
            # the number stands at the right end of a reference line 78 points long, its leg left of
            # the mark 30 points along
            legs = {
                w.words
                for w in words
                if re.fullmatch(r"[\d /]+|[\d.]+ mm", w.words)
                and -65 * k < w.at[0] - n.at[0] < -20 * k
                and -11 * k < w.at[1] - n.at[1] < 3 * k
            }
            if legs:
                assert len(legs) == 1, (where, n, legs)
                t.add("weld", n.words, "leg", legs.pop(), where)


def table_rows(text: str, letter: str, after: str) -> Iterator[tuple[str, str]]:
    """Rows of a numbered list on a sheet: number and the words up to the next one."""
    part = text.split(after, 1)[1]
    pieces = re.split(rf"^({letter}\d+)$", part, flags=re.M)
    yield from zip(pieces[1::2], pieces[2::2], strict=True)


def from_sheets(m: Made, t: Told) -> None:
    """Weld schedule, torque sheet, tube list, set-down and arms sheet, alone and in their stage's
    packet.
    """
    for path in ("sheet/welds.pdf", "sheet/stage-7.pdf"):
        rows = list(table_rows(words_of(m.files[path]), "W", "what to what"))
        assert [n for n, _ in rows] == [f"W{i}" for i in range(1, len(rows) + 1)], path
        assert len(rows) == len(m.truck.assembly.welds)
        for n, words in rows:
            flat = " ".join(words.split())
            leg = re.search(r"\(?([\d/]+|[\d.]+ mm)\)? (fillet|bevel groove|slot|plug)", flat)
            assert leg, (n, flat)
            t.add("weld", n, "leg", leg[1].strip(), path)
            t.add("weld", n, "on", flat.split(" ", 1)[0], path)
    for path in ("sheet/bolts.pdf", "sheet/stage-8.pdf"):
        rows = list(table_rows(words_of(m.files[path]), "B", "through, head to nut"))
        seen = []
        for n, words in rows:
            if n in seen or (
                " > " not in words
                and "grade" not in words
                and "class" not in words
                and "dowel" not in words
                and "stud" not in words
            ):
                continue
            seen.append(n)
            flat = " ".join(words.split())
            if got := re.match(r"(\S+)(?: x (.+?))? ((?:grade|class) \S+) ", flat):
                t.add("bolt", n, "size", got[1], path)
                t.add("bolt", n, "grade", got[3], path)
                if got[2]:
                    t.add("bolt", n, "length", got[2], path)
            torque = re.search(r"\d+ (?:lb ft|N m), [a-z-]+", flat)
            if torque:
                t.add("bolt", n, "torque", torque[0], path)
        assert set(seen) == set(numbered_bolts(m.truck.assembly)), path
    tubes = words_of(m.files["sheet/tubes.pdf"])
    arms = words_of(m.files["sheet/arms.pdf"])
    for p in m.truck.parts:
        if isinstance(p.member.body, Tube):
            said = re.search(
                rf"^{re.escape(names.made(p))}\n.*?\n([\d /]+(?: mm| \([\d.]+\))?)\n(?:long"
                r" point|square cut)",
                tubes,
                re.M | re.S,
            )
            assert said, p.id
            t.add("tube", p.id, "length", said[1], "sheet/tubes.pdf")
    for code, title in (("AR1", "radius-arm tube"), ("UA1", "upper-arm tube")):
        for side, word in (("L", "left"), ("R", "right")):
            said = re.search(rf"{title}, {word}\n([\d /]+(?: mm)?) long", arms)
            single = next((p.id for p in m.truck.parts if f"{code}.{side}" in p.places), "")
            if said and single:
                t.add("tube", single, "length", said[1], "sheet/arms.pdf")


def from_page(m: Made, t: Told) -> None:
    """Cards of the page."""
    text = re.sub(r"<svg.*?</svg>", "", m.files["index.html"].decode(), flags=re.S)
    cards = {
        place: c
        for c in re.findall(r'<div class="card">.*?</p></div>', text, re.S)
        for place in re.findall(r'data-show="([^"]+)"', c)
    }
    assert set(cards) == {p.id for p in m.truck.singles}
    for p in m.truck.parts:
        card = cards[p.id]
        count = re.search(r"quantity (\d+)", card)
        assert count, card
        t.add("part", p.id, "quantity", int(count[1]), "index.html")
        for link in re.findall(r'href="([^"]+)"', card):
            assert link in m.files, link
        if isinstance(p.member.body, Tube):
            said = re.search(
                r", ([\d /]+(?: mm| \([\d.]+\))?)(?: in)? (?:long point|square cut)", card
            )
            assert said, card
            t.add("tube", p.id, "length", said[1], "index.html")


def from_solids(m: Made, t: Told) -> None:
    """Every member once in the assembly, every part's own file in millimeters."""
    whole = m.files[f"solid/{m.job.chassis}-assembly-mm.step"].decode()
    placed = (x.code for x in m.truck.assembly.members if x.fixed_after != "tool")
    for code in placed:
        assert re.search(rf"PRODUCT\('{re.escape(names.part(code))}[ ',]", whole), code
    for stem, part in stems(m).items():
        text = m.files[f"solid/{solid_name(stem, m.shop)}"].decode()
        assert f"FILE_NAME('{part.partition('.')[0]} " in text, part
        assert "SI_UNIT(.MILLI.,.METRE.)" in text, part


COLLECT = (
    from_model,
    from_tables,
    from_manifest,
    from_cut_files,
    from_drawings,
    from_sheets,
    from_page,
    from_solids,
)


@cache
def told(name: str) -> Told:
    t = Told()
    for collect in COLLECT:
        collect(made(name), t)
    return t


@pytest.mark.parametrize("name", JOBS)
def test_no_fact_has_two_values(name: str) -> None:
    assert told(name).apart() == []


@pytest.mark.parametrize("name", JOBS)
def test_facts_are_found_where_they_are_said_to_be(name: str) -> None:
    """A collector that finds nothing shows nothing: every fact stands in every kind of file that
    should carry it.
    """
    t = told(name)
    for what, which, kinds in (
        (
            "weld",
            "leg",
            {"schedule/csv", "schedule/json", "sheet/xlsx", "sheet/pdf", "drawing/dxf"},
        ),
        ("weld", "on", {"schedule/csv", "sheet/pdf"}),
        ("bolt", "size", {"schedule/csv", "schedule/json", "sheet/xlsx", "sheet/pdf"}),
        ("bolt", "length", {"schedule/csv", "sheet/pdf"}),
        ("bolt", "grade", {"schedule/csv", "sheet/pdf"}),
        ("tube", "length", {"schedule/csv", "sheet/xlsx", "sheet/pdf", "drawing/dxf"}),
        ("part", "holes", {"schedule/csv", "cut/dxf", "drawing/dxf"}),
        ("part", "quantity", {"cut/dxf", "drawing/dxf"}),
        ("part", "revision", {"cut/dxf", "drawing/dxf"}),
    ):
        assert kinds <= t.places(what, which), (what, which, t.places(what, which))
    m = made(name)
    torqued = [k for k in t.facts if k[0] == "bolt" and k[2] == "torque"]
    assert len(torqued) == len(numbered_bolts(m.truck.assembly))


@pytest.mark.parametrize("name", JOBS)
def test_every_leg_is_of_the_shops_list_and_within_its_walls(name: str) -> None:
    """AISC 360 J2.2b for the thinner wall (read); the list is the shop's."""
    m = made(name)
    by = {x.code: x for x in m.truck.assembly.members}
    for w in m.truck.assembly.welds:
        assert w.leg in m.shop.legs, (w.id, w.leg)
        for code in (w.on, w.to):
            body = by[code].body if code in by else None
            if isinstance(body, Plate):
                assert w.leg <= m.shop.plate(body.stock).thickness + 1e-6, w.id
            if isinstance(body, Tube):
                assert w.leg <= m.shop.tube(body.stock).wall + 1e-6, w.id


@pytest.mark.parametrize("name", JOBS)
def test_what_is_nested_is_what_is_billed(name: str) -> None:
    """Pieces on the sheets, in the bill and on the cut files' names, by part."""
    m = made(name)
    nested: dict[str, int] = defaultdict(int)
    for r in rows_of(m, "nest"):
        words = r["parts"].split()
        for code, count in zip(words[::2], words[1::2], strict=True):
            nested[code] += int(count.removeprefix("x"))
    billed = {r["item"]: int(r["quantity"]) for r in rows_of(m, "material") if r["make"] == "make"}
    for p in filter(is_plate, m.truck.parts):
        if m.judged.cut(p.id)[0]:
            assert nested[p.called] == billed[p.id] == p.quantity, p.id
    names = [r["remnant"] for r in rows_of(m, "nest")]
    assert len(names) == len(set(names)), "no two remnants share a name"


LACKS = ("sheet/setout.pdf", "sheet/travel.pdf", "sheet/strength.pdf")
"""Sheets that carry no level yet."""


@pytest.mark.parametrize("name", JOBS)
def test_every_sheet_says_whose_it_is_and_what_it_may_be_used_for(name: str) -> None:
    m = made(name)
    for path, data in m.files.items():
        if path.startswith(("sheet/", "drawing/")) and path.endswith(".pdf"):
            text = words_of(data)
            assert m.job.chassis in text, path
            if path not in LACKS:
                assert "DRAFT" in text or "NOT FOR CUTTING" in text, path


def test_sizes_of_metric_bolts_are_in_millimeters() -> None:
    """A metric bolt is called by mm, an inch bolt by inches, on every list."""
    m = made("metric")
    each = [x for x in fasteners.every(m.truck, m.shop) if x.length and x.made == "bolt"]
    assert {x.bolt.size.startswith("M") for x in each} == {True, False}
    for x in each:
        assert x.name.endswith(f" mm {x.bolt.grade}") == x.bolt.size.startswith("M"), x.name
