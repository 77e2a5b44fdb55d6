"""The hole schedule: stations along the rail against the plate's own holes and the readings, drills
in both units by the inch.
"""

from __future__ import annotations

import itertools
import math
import re

import built_jobs
import pytest
from papers import every, made
from pdf_text import pages
from soapstone.parts.documents import engine
from soapstone.parts.documents.stations import station
from soapstone.parts.model.body import Plate
from trucks import NAMES

INCH = 25.4
"""Millimeters, exactly (international yard and pound agreement, 1959)."""


@pytest.mark.parametrize("name", NAMES)
def test_stations_are_as_far_apart_as_the_holes_of_the_plate(name: str) -> None:
    """Of two holes of one plate on the rail, whichever side it goes to, the tape on the rail reads
    the plate's own spacing; from the datum hole to the first it reads the difference of where both
    stand along the truck, but for the slope of the rail.
    """
    f = made(name)
    bolts = {bolt.id: bolt for bolt in f.truck.assembly.bolts}
    seen = set()
    for part in f.truck.singles:
        if not isinstance(part.member.body, Plate):
            continue
        own = [(hole, bolts[hole.bolt]) for hole in part.holes if hole.bolt in bolts]
        placed = [(hole, bolt, far) for hole, bolt in own if (far := station(f, bolt)) is not None]
        for _, bolt, far in placed:
            datum = f.v("frame.datum_hole", part.id[-1])
            assert datum is not None
            assert far == pytest.approx(bolt.at[0] - datum, rel=0.01, abs=2.0)
            seen.add(part.member.code.split(".")[0].rstrip("0123456789"))
        for (one, _, here), (two, _, there) in itertools.combinations(placed, 2):
            assert abs(here - there) == pytest.approx(math.dist(one.at, two.at), abs=0.6), part.id
    assert {"XS", "FP", "DT"} <= seen, "side plates, fish plates and templates lie on the rail"
    assert not seen & {"XT", "XP", "LT", "AB"}, "nothing else does"


def test_drills_stand_in_both_units() -> None:
    table = next(
        block
        for block in next(doc for doc in every() if doc.name == "holes").blocks
        if isinstance(block, engine.Table)
    )
    heads = [head for head, _ in table.columns]
    first = heads.index("or mm")
    assert heads[first - 1] == "finished" and heads[heads.index("pilot") + 1] == "or mm"
    for row in table.rows:
        for said, mm in ((row[first - 1], row[first]), (row[heads.index("pilot")], row[-6])):
            if not said:
                assert not mm
                continue
            whole = re.match(r"(?:(\d+) )?(\d+)/(\d+)|([\d.]+)", said)
            assert whole
            inches = (
                float(whole[4]) if whole[4] else int(whole[1] or 0) + int(whole[2]) / int(whole[3])
            )
            assert float(mm) == pytest.approx(inches * INCH, abs=0.06), row


def test_a_metric_shop_reads_millimeters_alone() -> None:
    words = " ".join(pages(built_jobs.made("typed mm").files["sheet/holes.pdf"]))
    assert re.search(r"finished\s+how\s+pilot\s+edge", words)
