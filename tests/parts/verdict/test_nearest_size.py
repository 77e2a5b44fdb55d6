"""What is said beside every part that cannot be made: typed in, it makes the part and its shapes
are sound by other means (``tests/oracles/sound_plate.py``). ``python tests/soak/refusals.py`` tries
it for every refusal of the sweep.
"""

from __future__ import annotations

import pytest
from anyjob import Change, apply, demo, shapes
from instead import changes
from soapstone.layout.job_file import of_table
from soapstone.layout.setout import solve
from soapstone.parts.stock import default_shop
from soapstone.parts.truck.truck import design
from soapstone.parts.verdict.nearest_size import told

REFUSED = [
    ("demo", "driveline.mount.z", "", "10 5/8 in", "XP.C"),
    ("demo", "track_bar.frame_mount_y", "", "20 in", "TB.L"),
    ("demo_uneven", "axle.track_bar_mount.z", "", "11 1/4 in", "TA.R"),
    ("demo_uneven", "arms.upper_joint_housing", "", "5 in", "LT.L"),
    ("demo_uneven", "arms.lower_bolt_tilt", "both", "-7.5 deg", "AR.L"),
    ("demo_uneven", "axle.tube_diameter", "", "6 in", "LS.R"),
    ("demo", "frame.hole.2.from_edge", "", "3 1/2 in", "XS.L"),
    ("demo", "spring.wire", "", "1.0125 in", "CM.L"),
]
"""A refusal of a kind each: a rule, a place, an angle, a hole off an edge, a coil."""


@pytest.mark.parametrize(("truck", "field", "side", "value", "code"), REFUSED)
def test_what_is_said_instead_makes_it_when_it_is_typed(
    truck: str, field: str, side: str, value: str, code: str
) -> None:
    table = demo(truck)
    apply(table, Change(field, side, value))
    job, shop = of_table(table), default_shop()
    made = design(solve(job), job.words, {}, job.chassis, shop)
    who = next(name for name in made.failed if name.endswith(code))
    said = told(job, shop, made)[who]
    assert said.startswith(("It can be made with ", "It could be made with ")), said
    for change in changes(said):
        again = demo(truck)
        apply(again, Change(field, side, value))
        for one in change:
            apply(again, one)
        job = of_table(again)
        assert who not in design(solve(job), job.words, {}, job.chassis, shop).failed, said
        assert not shapes(again).wrong, said
