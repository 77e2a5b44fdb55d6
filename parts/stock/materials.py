"""What the truck is made of, as read or set; what nobody said is the least that the trade commonly
uses (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..model.assembly import Bolt
from .classes import BoltClass, class_of
from .fillers import USUAL, Filler, filler_of
from .on_hand import Shop, TubeOnHand
from .tables import Steel, steel

LEAST_RAIL = "A36"
LEAST_AXLE = "A513 1020 DOM"
LEAST_DOWEL = "A36"


class Materials(NamedTuple):
    """What the truck is made of.

    Attributes
    ----------
    rail, axle, dowel : Steel
        As read, else the least in common use.
    filler : Filler
        Weld metal.
    tubes : mapping of str to Steel
        By the code of the tube's member without its side; only those whose steel was read.
    classes : mapping of str to str
        A bolt's mark -> the mark it is taken for, to try another.
    """

    rail: Steel
    axle: Steel
    dowel: Steel
    filler: Filler
    tubes: Mapping[str, Steel] = {}
    classes: Mapping[str, str] = {}

    def bolt(self, b: Bolt) -> BoltClass:
        """Proof, yield and tensile strength of a bolt, MPa."""
        return class_of(self.classes.get(b.id, b.grade), b.size)

    def tube(self, code: str, on_hand: TubeOnHand) -> Steel:
        """Steel of a tube: as read, else the stock's."""
        return self.tubes.get(code.rpartition(".")[0]) or steel(on_hand.steel)


def named(words: Mapping[str, str], field: str) -> str:
    """A steel that was read; empty where it was not, or is said to be unknown."""
    typed = words.get(field, "")
    return "" if typed == "unknown" else typed


def materials(words: Mapping[str, str], shop: Shop, tubes: Mapping[str, str]) -> Materials:
    """From the job's words and the shop's settings.

    Parameters
    ----------
    tubes : mapping of str to str
        Code of a tube without its side -> the field of the job that names its steel.

    Raises
    ------
    KeyError
        A steel without a row in the table.
    """
    filler = filler_of(shop.filler or USUAL)
    assert filler is not None, "the shop file's reader lets no filler of unknown strength pass"
    return Materials(
        steel(named(words, "frame.steel") or LEAST_RAIL),
        steel(named(words, "axle.tube_steel") or LEAST_AXLE),
        steel(shop.dowel or LEAST_DOWEL),
        filler,
        {code: steel(n) for code, field in tubes.items() if (n := named(words, field))},
    )
