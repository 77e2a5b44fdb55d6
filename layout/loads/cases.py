"""The load cases with their sources.

Two levels are held against limits: *often* (allowable strength) and *rare* (forces over 1.5 before
the same comparison, mapping by AISC 360 B3 logic: project judgment); *everyday* ranges are held
against fatigue strength.

No published table of wheel forces of light off-road trucks was found: the multipliers are from
truck and vehicle-structures texts, or judgment, as each row says.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, NamedTuple

from ..arrays import Array
from ..quantities import SIDES
from . import tires
from .basis import LoadBasis
from .tires import Places, TireForces, at_ground, nothing, standing

CaseLevel = Literal["everyday", "often", "rare"]
RARE = 1.5
"""What a rare case's forces are divided by to stand on the allowable-strength scale."""


class Case(NamedTuple):
    """One load case.

    ``factor`` as used in the words of ``says``; ``hand`` which wheel it is about ("L", "R"), ""
    for both; ``tires``: what the ground does to the tires, ``at`` where, from the hubs;
    ``jack``: what a jack does to the arms' brackets.
    """

    name: str
    level: CaseLevel
    factor: float
    says: str
    source: str
    hand: str = ""
    tires: TireForces = standing
    at: Places = at_ground
    jack: TireForces = nothing

    @property
    def share(self) -> float:
        """What its forces are multiplied with to stand on the allowable-strength scale.

        A ratio: 1, or one over ``RARE`` for what happens rarely.
        """
        return 1 / RARE if self.level == "rare" else 1.0


CASES: tuple[Case, ...] = (
    Case("static", "often", 1.0, "standing on level ground", "weights as read"),
    Case(
        "bump",
        "often",
        3.0,
        "both wheels at 3 x static",
        "judgment at the upper end of 2 to 3 x for dynamic loads: Fieldhouse and Barton, Automotive"
        " Chassis Engineering, p. 225",
        tires=tires.bump,
    ),
    Case(
        "bump off-road",
        "rare",
        4.0,
        "both wheels at 4 x static",
        "judgment, no source",
        tires=tires.bump,
    ),
    Case(
        name="twist",
        level="often",
        factor=1.8,
        says="axle load x 1.8 on one wheel, none on the other",
        source="judgment, no source; torsion as a case of its own: Brown, Robertson and Serpento,"
        " Motor Vehicle Structures, p. 20",
        hand="L",
        tires=tires.twist,
    ),
    Case(
        "braking",
        "often",
        1.1,
        "braking at 1.1 g with load transfer",
        "0.75 to 1.84 g by author: Brown, Robertson and Serpento, Motor Vehicle Structures, p. 20"
        " table 2.4",
        tires=tires.braking,
    ),
    Case(
        "reverse braking",
        "often",
        0.6,
        "braking backwards at 0.6 g",
        "judgment, no source",
        tires=tires.reverse_braking,
    ),
    Case(
        name="pothole",
        level="rare",
        factor=4.5,
        says="one wheel against a step of a tenth of its radius, 3 x static up",
        source="Brown, Robertson and Serpento, Motor Vehicle Structures, p. 22 (Garrett K = 4.5)",
        hand="L",
        tires=tires.pothole,
    ),
    Case(
        name="deep pothole",
        level="rare",
        factor=4.5,
        says="one wheel against a step of a quarter of its radius, 3 x static up",
        source="Brown, Robertson and Serpento, Motor Vehicle Structures, p. 22 (Garrett K = 4.5)",
        hand="L",
        tires=tires.deep_pothole,
    ),
    Case(
        name="ledge",
        level="rare",
        factor=2.0,
        says="one wheel crawls against a step of half its radius, 2 x static up",
        source="judgment, no source; way of the force: Brown, Robertson and Serpento, Motor Vehicle"
        " Structures, p. 22, who name 4.5 x for it an upper bound that the suspension limits: not"
        " hit at speed",
        hand="L",
        tires=tires.ledge,
        at=tires.at_ledge,
    ),
    Case(
        name="cornering",
        level="often",
        factor=1.0,
        says="side force 1 x load, load transfer to the outer wheel",
        source="judgment, no source: 1 g, as much as tires grip",
        hand="L",
        tires=tires.cornering,
    ),
    Case(
        name="curb",
        level="rare",
        factor=1.75,
        says="one wheel against a curb until the truck would tip",
        source="Brown, Robertson and Serpento, Motor Vehicle Structures, p. 24 (Garrett K = 1.75)",
        hand="L",
        tires=tires.curb,
    ),
    Case(
        name="low-range pull",
        level="often",
        factor=2.0,
        says="one wheel pulls and carries 2 x static",
        source="judgment; 1.5 for towing: Brown, Robertson and Serpento,"
        " Motor Vehicle Structures, p. 20",
        hand="L",
        tires=tires.pull,
    ),
    Case(
        name="low-range pull back",
        level="often",
        factor=2.0,
        says="one wheel pulls backward and carries 2 x static",
        source="judgment, as low-range pull",
        hand="L",
        tires=tires.pull_back,
    ),
    Case(
        "pull, both wheels",
        "often",
        1.5,
        "both wheels pull and carry 1.5 x static",
        "1.5 for towing: Brown, Robertson and Serpento, Motor Vehicle Structures, p. 20",
        tires=tires.pull_both,
    ),
    Case(
        name="twist with pull",
        level="rare",
        factor=1.0,
        says="axle load on one wheel, which pulls as much, the other in the air",
        source="judgment, no source: as much as tires grip, two extremes at once",
        hand="L",
        tires=tires.twist_pull,
    ),
    Case(
        name="twist with pull back",
        level="rare",
        factor=1.0,
        says="axle load on one wheel, which pulls backward as much, the other in the air",
        source="judgment, no source: as much as tires grip, two extremes at once",
        hand="L",
        tires=tires.twist_pull_back,
    ),
    Case(
        name="jack at the axle",
        level="often",
        factor=1.5,
        says="a jack under the axle at one coil, 1.5 x a wheel's static load",
        source="judgment, no source",
        hand="L",
        tires=tires.lifted,
        at=tires.at_seats,
    ),
    Case(
        name="jack at the bracket",
        level="often",
        factor=1.5,
        says="a jack under one arm's bracket, 1.5 x a wheel's static load; the wheel hangs",
        source="judgment, no source",
        hand="L",
        tires=tires.hanging,
        jack=tires.bracket_lift,
    ),
    Case(
        "winch",
        "rare",
        1.0,
        "a winch line pulls with the truck's weight, both front wheels against a ledge",
        "judgment, no source",
        tires=tires.winch,
        at=tires.at_hub,
    ),
    Case(
        "recovery, pushed",
        "rare",
        0.5,
        "half the truck's weight pushes at the frame, held by the tires",
        "half the greatest laden mass at a tow point, pull and push: Commission Regulation (EU)"
        " 1005/2010",
        tires=tires.pushed,
    ),
    Case(
        "recovery",
        "rare",
        0.5,
        "half the truck's weight pulls at the frame, held by the tires",
        "half the greatest laden mass at a tow point: Commission Regulation (EU) 1005/2010",
        tires=tires.recovery,
    ),
)
EVERYDAY: tuple[Case, ...] = (
    CASES[0],
    Case(
        "bump",
        "everyday",
        1.5,
        "both wheels at 1.5 x static",
        "judgment, no source",
        tires=tires.bump,
    ),
    Case(
        name="road twist",
        level="everyday",
        factor=0.3,
        says="three tenths of a wheel's load from one side to the other",
        source="judgment, no source",
        hand="L",
        tires=tires.road_twist,
    ),
    Case(
        "braking",
        "everyday",
        0.3,
        "braking at 0.3 g",
        "judgment, no source",
        tires=tires.braking,
    ),
    Case(
        name="cornering",
        level="everyday",
        factor=0.3,
        says="side force of 0.3 x load",
        source="judgment, no source",
        hand="L",
        tires=tires.cornering,
    ),
)
"""What happens every day: the range of stress between any two of these is held against fatigue
strength, not against a limit.
"""


def tire_forces(truck: LoadBasis, case: Case) -> Array:
    """Ground on both tires in one case, (2, 3), N, truck axes, left [0] and right [1].

    It acts at ``case.at``; ``case.hand`` says which wheel the case is about.
    """
    return case.tires(truck, case.factor, _wheel(case))


def jack_forces(truck: LoadBasis, case: Case) -> Array:
    """What a jack does to the arms' brackets in one case, (2, 3), N, truck axes.

    Left [0] and right [1]; zero in a case without a jack.
    """
    return case.jack(truck, case.factor, _wheel(case))


def _wheel(case: Case) -> int:
    return 1 if case.hand == "R" else 0


def adjusted(factors: Mapping[str, float]) -> tuple[Case, ...]:
    """The cases with the shop's own factors, those about one wheel for either.

    ``factors``: factor by case name, in the words of ``Case.says``; names that are no case are
    passed over. The source then says that the shop set it.

    >>> [case.factor for case in adjusted({"bump": 2.5}) if case.name == "bump"]
    [2.5]
    """
    return both_hands(
        tuple(
            (
                case._replace(
                    factor=factors[case.name], source=f"{case.source}; factor set by the shop"
                )
                if case.name in factors
                else case
            )
            for case in CASES
        )
    )


def both_hands(cases: tuple[Case, ...] = CASES) -> tuple[Case, ...]:
    """Every case, those about one wheel or side once for either.

    A case about both wheels (``hand`` "") stays as it is; the others come twice, "L" then "R".
    """
    return tuple(
        case._replace(hand=hand)
        for case in cases
        for hand in ((case.hand,) if not case.hand else SIDES)
    )
