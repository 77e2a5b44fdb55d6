"""The closed words of the model, each list in one place.

A word that a family writes stands as a Literal; ``design.vocabulary`` lets no other through. A word
that only the program makes is a ``Word``.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Literal


class Word(StrEnum):
    """A word of a closed list. It prints, hashes and is stored as its text.

    >>> class Way(Word):
    ...     CUT = "cut"
    >>> Way.CUT, f"{Way.CUT}", Way.CUT == "cut"
    ('cut', 'cut', True)
    """

    def __repr__(self) -> str:
        """As its text, so that a fingerprint of it is the text's."""
        return repr(self.value)


class Role(Word):
    """What a member does, by which rooms above ask for it: the family that makes it says which of
    its codes that is (``Family.roles``).
    """

    ARM = "radius arm's tube"
    UPPER_ARM = "upper arm's tube"
    BAR = "rides with the track bar"
    ARM_BRACKET = "ears at the frame joint"
    COIL_PLATE = "plate over the cut in the rail"
    LOW_STRIP = "strip under the rail"
    HIGH_STRIP = "strip on the rail"
    IN_COIL = "stands inside the coil"
    SHOCK = "shock"
    SHOCK_EYE = "shock's upper eye"
    SHOCK_TABS = "what holds shock and strap"
    DOWELED = "flanges with dowels"
    FIRST_CUT = "cut before the loads are known: its outline does not hang on them"
    AFTER_SET_DOWN = "the truck stands without it: cut once it has stood right on its wheels"
    SLOT_WASHER = "washer without which a slot carries nothing"
    BOTTOM_HOLES = "made for new holes in the rail's bottom"
    TRUCK = "on the truck already"


class Level(Word):
    """What a release is signed for, the least first: what its sheets may be used for.

    >>> Level.WELD.at_least(Level.TACK), Level("mock-up").at_least(Level.TACK)
    (True, False)
    """

    DRAFT = "draft"
    MOCK_UP = "mock-up"
    TACK = "tack"
    WELD = "weld"
    FINAL = "final"

    def at_least(self, other: Level) -> bool:
        """Whether it asks for everything another does."""
        return self.place >= other.place

    @property
    def place(self) -> int:
        """Its place among all, 0 for a draft."""
        return list(Level).index(self)


class When(Word):
    """When a part may be cut: today, once the truck has stood right, or not yet."""

    NOW = "now"
    AFTER = "after set-down"
    WAITS = "waiting"


class There(Word):
    """What a body is that the truck already has."""

    RAIL = "rail"
    AXLE = "axle"
    SHOCK = "shock"


class Stage(Word):
    """What a member is fixed in and a weld laid in, in the order a truck goes through them."""

    AXLE = "axle"
    FRAME = "frame"
    CROSSMEMBER = "crossmember"
    ARMS = "arms"
    SET_DOWN = "set-down"


class Hand(Word):
    """Which side a part is shaped for: left, right, or either."""

    LEFT = "L"
    RIGHT = "R"
    EITHER = "E"


class HowMade(Word):
    """How a hole is made."""

    CUT = "cut"
    DRILL = "drill"
    REAM = "ream"


Duty = Literal["pivot", "frame", "steering", "mount", "witness", "drain", "keep"]
"""What a bolt is for; the last three are holes without one."""
TURNS: tuple[Duty, ...] = ("pivot", "steering")
"""Bolts something turns on."""
EMPTY: tuple[Duty, ...] = ("witness", "drain", "keep")
"""Holes no bolt goes in."""
WeldKind = Literal["fillet", "slot", "plug", "groove"]
Face = Literal["bottom", "top", "both"]
"""Which face of a plate: bottom lies on what it is welded to."""
EndKind = Literal["square", "cope", "insert"]
"""How a tube ends."""
ScribeRole = Literal["text", "center", "mate", "ride", "scale", "pig-tail"]
"""What a line scribed by a family is for."""
MarkRole = Literal["text", "drill", "center", "mate", "ride", "bend", "scale", "pig-tail"]
"""What a mark on a finished part is for."""
Where = Literal["each side", "center", "one side"]
"""On which sides of the truck a family is built."""

AssemblySheet = Literal[
    "",
    "axle brackets",
    "lower seat and stop",
    "coil tower",
    "shock and strap tabs",
    "track bar",
    "crossmember side",
    "crossmember center",
    "arm bracket",
    "radius arm",
]
"""Assembly drawings, by their titles, in the order of the work."""
WHOLE: tuple[AssemblySheet, ...] = ("axle brackets", "track bar", "crossmember center")
"""Those that show both sides of the truck on one sheet; of another there is one a side."""
