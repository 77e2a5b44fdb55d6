"""Marks on the steel: every stroke on steel, clear of edges and openings; letters that differ;
chassis, part, revision and hand wherever they fit.

Where a stroke lies is held against GEOS (through shapely). The margin of 1/8 in and the least
lettering of 1/8 in are common practice, no source.
"""

from __future__ import annotations

import functools
from pathlib import Path

import pytest
import shapely
import trucks
from soapstone.layout.job_file import load
from soapstone.parts.design.part_numbers import in_order
from soapstone.parts.geometry import outline, strokes
from soapstone.parts.geometry.holes import slot_loop
from soapstone.parts.model.assembly import Part
from soapstone.parts.model.body import Plate
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import Truck

IN = 25.4
SHOP = default_shop()
JOBS = (*trucks.NAMES, "millimeters")


@functools.cache
def made(name: str, folder: Path) -> Truck:
    if name != "millimeters":
        return trucks.truck(name)[0]
    text = (trucks.DATA / "demo.toml").read_text()
    job = folder / "mm.toml"
    job.write_text(
        text.replace('chassis = "DEMO1"', 'chassis = "MM24"').replace(
            'frame_mount_y = "15 3/4"', 'frame_mount_y = "400 mm"'
        )
    )
    return trucks.shaped(load(job))[0]


@pytest.fixture(scope="module", params=JOBS)
def plates(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[Part]:
    t = made(request.param, tmp_path_factory.mktemp("mm"))
    return [p for p in t.singles if isinstance(p.member.body, Plate)]


def steel(p: Part) -> shapely.Polygon:
    body = p.member.body
    assert isinstance(body, Plate)
    inner = [*body.openings, *map(slot_loop, p.holes)]
    return shapely.Polygon(
        outline.flatten(body.outline, 0.01), [outline.flatten(o, 0.01) for o in inner]
    )


def test_no_stroke_leaves_the_steel_or_comes_within_an_eighth_of_an_edge(
    plates: list[Part],
) -> None:
    seen = 0
    for p in plates:
        whole = steel(p)
        for m in p.marks:
            for stroke in m.strokes:
                seen += 1
                line = shapely.LineString(stroke)
                assert whole.covers(line), (p.id, m.role)
                assert whole.boundary.distance(line) > SHOP.mark_margin - 0.08, (p.id, m.role)
    assert seen > 1000


def test_every_part_with_room_carries_chassis_part_revision_and_hand(plates: list[Part]) -> None:
    """A part that does not carry them all has no room for them: the smallest block of them does not
    fit in the circle its steel holds.
    """
    whole = 0
    for p in plates:
        said = next((m.text for m in p.marks if m.role == "text"), "")
        code = p.number
        words = said.split()
        assert words and any(w.startswith(code) for w in words), p.id
        if p.hand in ("L", "R"):
            full = {"L": "LEFT", "R": "RIGHT"}[p.hand]
            assert full in words or f"{code}{p.hand}" in words, p.id
        chassis = words[0] in ("DEMO1", "DEMO2", "MM24")
        revision = any(
            w.lower() == f"d{first.cut_fingerprint[:6]}"
            for w in words
            for first in (
                min(
                    (q for q in plates if (q.number, q.hand) == (p.number, p.hand)),
                    key=lambda q: in_order(q.id),
                ),
            )
        )
        if chassis and revision:
            whole += 1
            continue
        block = max(strokes.width(w, 0.125 * IN) for w in ("D000000", f"{code}L"))
        free = steel(p).buffer(-SHOP.mark_margin)
        side_of = max(
            (
                shapely.maximum_inscribed_circle(g).length
                for g in getattr(free, "geoms", (free,))
                if not g.is_empty
            ),
            default=0.0,
        )
        assert 2 * side_of < (block**2 + (0.125 * IN * 4.2) ** 2) ** 0.5, p.id
    assert whole > 0.8 * len(plates)


def test_lettering_is_at_least_an_eighth_high(plates: list[Part]) -> None:
    for p in plates:
        for m in p.marks:
            if m.role == "text" and m.text:
                x0, y0, x1, y1 = shapely.MultiLineString([list(s) for s in m.strokes]).bounds
                assert min(x1 - x0, y1 - y0) > 0.125 * IN - 1e-6, p.id


def test_no_two_letters_are_drawn_alike() -> None:
    drawn = {c: tuple(sorted(g.split())) for c, g in strokes.GRID.items()}
    assert len(set(drawn.values())) == len(drawn), [
        (a, b) for a in drawn for b in drawn if a < b and drawn[a] == drawn[b]
    ]
