"""Fatigue: range of stress between everyday states against what ``CYCLES`` of them allow.

Stresses MPa.
"""

from __future__ import annotations

import numpy as np

from ...layout.units import IN
from ..model.vectors import Number
from .clause import clause

KSI = 6.894757
CYCLES = 2e5
"""Judgment: so many everyday ranges in a truck's life, each as large as the everyday cases."""
ATTACHED_MM = 4 * IN
"""Longest that may be welded on along the pull in category D (AISC 360-16 table A-3.1 row 7.1)."""
CATEGORY = {
    "A": (250e8, 24.0),
    "B": (120e8, 16.0),
    "B'": (61e8, 12.0),
    "C": (44e8, 10.0),
    "D": (22e8, 7.0),
    "E": (11e8, 4.5),
}
"""Constant and threshold of AISC 360-16 table A-3.1, ksi; E's 11e8 and 4.5 seen second-hand
as of the 2022 table (rows 5.5 and 6.1), its row for lengthwise fillet ends (4.1) from memory.
"""


def range_allowed(category: str, cycles: Number = CYCLES) -> Number:
    """Allowed range of stress: (Cf / n)^(1/3), never below the threshold (AISC 360-16 App. 3).

    ``category``: a key of ``CATEGORY``, KeyError for another; ``cycles`` n: a float or an array.
    MPa, in the shape of ``cycles``.
    """
    constant, threshold = CATEGORY[category]
    return np.maximum((constant / np.asarray(cycles, dtype=float)) ** (1 / 3), threshold) * KSI


@clause(
    "AISC 360 App. 3 (A-3-1), category C",
    edition="2016",
    formula="S <= max((4400000000 / 200000)^(1/3), 10) u",
    also={"unit_MPa": KSI},
    unit="MPa",
    must=False,
)
def life_root(*, range_MPa: Number) -> tuple[Number, Number]:
    """An ear or tab at its weld, everyday range of its plain elastic stress.

    ``range_MPa``: largest difference of stress between two everyday states, MPa; not the height of
    the stress. Demand: the range, MPa; capacity: that of category C at ``CYCLES``, MPa. The
    standard supposes steel kept from corrosion; the weld's throat is ``life_throat``.

    >>> round(float(life_root(range_MPa=0.0)[1]))
    193
    """
    return range_MPa, range_allowed("C")


@clause(
    "AISC 360 App. 3 (A-3-1), category E",
    edition="2016",
    formula="S <= max((1100000000 / 200000)^(1/3), 4.5) u",
    also={"unit_MPa": KSI},
    tag="memory",
    unit="MPa",
    must=False,
)
def life_plate(*, range_MPa: Number) -> tuple[Number, Number]:
    """A plate near the end of a weld, everyday range.

    ``range_MPa``: largest difference of stress between two everyday states, MPa. Demand: the range,
    MPa; capacity: that of category E at ``CYCLES``, MPa. The plate's stress is the one that passes
    the weld's end, with no peak of the weld's toe in it: the category holds that.
    """
    return range_MPa, range_allowed("E")


@clause(
    "AISC 360 App. 3 (A-3-1), category E",
    edition="2022",
    formula="S <= max((1100000000 / 200000)^(1/3), 4.5) u",
    also={"unit_MPa": KSI},
    tag="read*",
    unit="MPa",
    must=False,
)
def life_tube(*, range_MPa: Number) -> tuple[Number, Number]:
    """A tube beside the end of a weld along it, or of one round its end: category E, as for
    lengthwise fillets at the end of a pulled member up to 1/2 in thick.

    ``range_MPa``: largest difference of stress between two everyday states, MPa. Demand: the range,
    MPa; capacity: that of category E at ``CYCLES``, MPa. Thicker steel (category E') is not
    covered.
    """
    return range_MPa, range_allowed("E")


@clause(
    "AISC 360 App. 3 (A-3-1), category D",
    edition="2016",
    formula="S <= max((2200000000 / 200000)^(1/3), 7) u",
    also={"unit_MPa": KSI},
    tag="memory",
    unit="MPa",
    must=False,
)
def life_attached(*, range_MPa: Number) -> tuple[Number, Number]:
    """A tube or plate at the end of a plate welded on along its pull, everyday range: category D,
    as long as ``attached_length`` is met.

    ``range_MPa``: largest difference of stress between two everyday states, MPa. Demand: the range,
    MPa; capacity: that of category D at ``CYCLES``, MPa.
    """
    return range_MPa, range_allowed("D")


@clause(
    "AISC 360 App. 3 table A-3.1 row 7.1",
    edition="2016",
    formula="L <= min(12 t, La)",
    tag="memory",
    also={"attached_limit_mm": ATTACHED_MM},
)
def attached_length(*, length_mm: Number, t_mm: Number) -> tuple[Number, Number]:
    """Length along the pull of what is welded on against the longest that leaves the steel beside
    it in category D: 12 of its thicknesses, or 4 in. (EN 1993-1-9 table 8.4, from memory, allows as
    much to 80 mm and 11 % less to 100 mm.)
    """
    return length_mm, np.minimum(12 * np.asarray(t_mm), ATTACHED_MM)


@clause(
    "IIW recommendations, load-carrying fillet, throat FAT 36",
    edition="2008",
    formula="S <= 36 u (2000000 / 200000)^(1/3)",
    also={"unit_MPa": 1.0},
    tag="memory",
    unit="MPa",
    must=False,
)
def life_throat(*, range_MPa: Number) -> tuple[Number, Number]:
    """Throat of a weld group, everyday range of its force over the throat.

    ``range_MPa``: largest difference between two everyday states of the group's force on a length
    over the throat, MPa. Demand: the range, MPa; capacity: FAT 36, which is at two million ranges,
    carried to ``CYCLES`` with slope 3, MPa. The toe is not judged here: ``life_root``,
    ``life_plate``.
    """
    return range_MPa, 36.0 * (2e6 / CYCLES) ** (1 / 3)
