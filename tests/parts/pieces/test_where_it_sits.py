"""Where every part is said to sit, read back from its own sentence and held against the placed
truck: the spot named is where the steel is.
"""

from __future__ import annotations

import re

import numpy as np
import pytest
from again import once
from built_jobs import typed_mm
from designs import designed_of
from soapstone.layout.quantities import Key, Side
from soapstone.layout.reader import System, reading_in
from soapstone.parts.drawing.picture import faces

SPOT = re.compile(
    r"([\d.]+) mm (behind|ahead of) the datum hole, ([\d.]+) mm from the center line,"
    r" ([\d.]+) mm above the floor"
)
NEAR = 1.5
"""What a tape in halves of a millimeter may be off in three ways at once, and a little."""


@pytest.mark.parametrize("section", once(["channel", "box"]))
def test_the_spot_a_part_is_said_to_sit_at_is_on_its_family(section: str) -> None:
    """Within the box round the parts of its family on that side."""
    job, shop = typed_mm()
    words = {**job.words, "frame.section": section}
    with reading_in(System.METRIC):
        whole = designed_of(job._replace(words=words), shop)
    boxes: dict[tuple[str, str], list[np.ndarray]] = {}
    for member in whole.truck.assembly.members:
        corners = [face.points for face in faces(member, None, shop)]
        if corners:
            boxes.setdefault((member.code[:2], member.code[-1]), []).append(np.vstack(corners))
    off, seen = [], 0
    for member in whole.truck.assembly.members:
        if not (said := SPOT.search(member.ref)):
            continue
        seen += 1
        along = float(said[1]) * (-1.0 if said[2] == "behind" else 1.0)
        side: Side = "R" if member.code.endswith("R") else "L"
        spot = np.array(
            (
                whole.solved.values[Key("frame.datum_hole", side)] + along,
                float(said[3]),
                float(said[4]),
            )
        )
        # a brace ends on the far rail
        if (side == "R") != (member.code[:2] == "GU"):
            spot[1] *= -1.0
        mine = np.vstack(boxes[member.code[:2], member.code[-1]])
        out = np.maximum(mine.min(axis=0) - spot, spot - mine.max(axis=0)).max()
        if out > NEAR:
            off.append((member.code, member.ref, round(float(out), 1)))
    assert seen > 20 and not off
