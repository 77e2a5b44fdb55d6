"""Cautions, in one place: by the step of the work, printed on the sheets of that step, and by what
a part touches, printed on its drawing. Each with the rule it comes from, or "common practice".
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from functools import partial

from ..model.assembly import Part, Weld
from ..model.body import Tube
from ..model.codes import names_body
from ..model.terms import There
from . import numbers


class Caution:
    """A sentence with places for lengths, which stand in it in the reader's units.

    Parameters
    ----------
    text : str
        With ``{}`` for each length.
    lengths : functions without arguments
        Called when the sentence is read, not before: who reads may change in between.

    >>> Caution("Nothing that burns within {}.", partial(numbers.feet, 35))()
    'Nothing that burns within 35 ft.'
    """

    def __init__(self, text: str, *lengths: Callable[[], str]) -> None:
        self.text, self.lengths = text, lengths

    def __call__(self) -> str:
        """In words, for who reads now."""
        return self.text.format(*(length() for length in self.lengths))


NOT_APPROVAL = Caution(
    "These are calculations, not an approval; local law decides. Have the work checked by whoever"
    " may sign for it."
)
STANDS = Caution(
    "Frame on stands rated for it, chocked, never on a jack alone (29 CFR 1910.244(a)(2)); nobody"
    " under it while it comes down."
)
FIRE = Caution(
    "Fuel and brake lines moved or shielded; nothing that burns within {}; fire"
    " watch during and 30 min after hot work (29 CFR 1910.252(a)(2)).",
    partial(numbers.feet, 35),
)
BATTERY = Caution(
    "Battery off, both cables; control units unplugged; airbag circuits dead as their maker says"
    " before an arc is struck; work clamp within {} of the weld and on the part"
    " that is welded (common practice, no source).",
    partial(numbers.about, 12),
)
HOLLOW = Caution(
    "Hollow spaces (rails, axle and cross tubes, spacers) are vented before they are heated, cut or"
    " welded (29 CFR 1910.252(a)(3))."
)
HEAT = Caution(
    "Ask first whether the rail is heat-treated; if it is, or nobody knows, do not weld or heat it."
)
FLANGES = Caution(
    "On a commercial vehicle frame flanges between the axles are not bent, cut or notched, nothing"
    " is welded to the frame and no hole goes in a top or bottom flange, except as the vehicle's"
    " manufacturer says (49 CFR 393.201(c)-(e)). Other trucks: local law, and the same care."
)
ACROSS = Caution(
    "No weld across a flange, none within {} of a flange's edge but where it is"
    " listed as a deviation (common practice, no source).",
    partial(numbers.inches, 3 / 4),
)
COILS = Caution(
    "A coil stays compressed: chain or hold it before a seat is cut, a strap or shock taken off or"
    " the axle let down (common practice, no source)."
)
SHAFT = Caution(
    "Front shaft tied up or off: never left hanging from one joint, nobody's hands near it while a"
    " wheel can turn (common practice, no source)."
)
BRAKES = Caution(
    "Brakes: hoses free at every position, bled, pedal held hard and every joint inspected for"
    " leaks before the truck moves (common practice, no source)."
)
PAINT = Caution(
    "Two-part paint holds isocyanates: supplied air, not a cartridge mask, as its safety data sheet"
    " says; fit and care of respirators: 29 CFR 1910.134."
)
FUME = Caution(
    "Strip zinc and paint {} in each direction beside the weld; fume: 29 CFR"
    " 1910.252(c), 1910.1000.",
    partial(numbers.about, 2),
)
PLASMA = Caution(
    "Fume, glare, noise and hot steel: extraction on, eyes and ears covered, nothing that burns"
    " within {}, fire watch 30 min after (29 CFR 1910.252(a)(2)).",
    partial(numbers.feet, 35),
)
ZINC = Caution(
    "Zinc gives fume fever: cut no galvanized plate without extraction (limits: 29 CFR 1910.1000)."
)
DRIP = Caution(
    "Brake fluid, gear oil and solvent burn: drained, wiped, lids on before an arc is struck."
    " Seals, breather, bearings and speed sensors out; never let welding current cross a bearing"
    " (common practice, no source)."
)
CASTING = Caution(
    "Brackets stay on the tube, off the casting. If one must land on a casting, that is a special"
    " procedure for somebody who does it."
)
UNLOAD = Caution(
    "Torsion bars and coils are unloaded before a bolt is out (common practice, no source)."
)
HANGS = Caution(
    "The transmission hangs on its own stand until the crossmember is bolted and its pad"
    " carries it."
)
TACKS = Caution("Tacks hold twice the standing load, not the road: truck not driven.")
LOWERED = Caution(
    "Before anyone reaches under it: stands {} below the frame. They are"
    " lowered clear of full bump only while it is rolled and bounced, with nobody near.",
    partial(numbers.inches, 1 / 2),
)
COLD = Caution(
    "Measure cold. Rails close up when a crossmember is cut out: leave the spreader in until the"
    " new one is bolted."
)
THREADS = Caution(
    "No thread in a shear plane; 1 1/2 threads past the nut; self-locking nuts used once. Stripe"
    " what is tight."
)
TRAVEL = Caution(
    "Travel is tried with the coils out and the axle on a jack under its middle: stands under the"
    " frame, nobody's fingers between."
)
DRIVE = Caution("First drive at walking pace in the yard, brakes tried before anything else.")
BOLTS = Caution(
    "No zinc-plated bolts of class 12.9 or harder: they can crack after tightening. No cast"
    " brackets."
)
RECORD = Caution(
    "This is a record of work and calculations, not an approval. Whether the truck may be used on"
    " the road is for local law and whoever may sign for it."
)

STEPS: Mapping[str, Sequence[Caution]] = {
    "survey": (STANDS,),
    "cut": (PLASMA, ZINC),
    "order": (BOLTS,),
    "axle": (STANDS, DRIP, HOLLOW, BATTERY, FIRE, CASTING, SHAFT),
    "frame": (STANDS, HEAT, FLANGES, ACROSS, BATTERY, FIRE, HOLLOW, UNLOAD, COILS, SHAFT),
    "crossmember": (STANDS, HANGS, HEAT, FLANGES, BATTERY, FIRE, HOLLOW, SHAFT),
    "arms": (STANDS, COILS, BATTERY, FIRE, SHAFT),
    "set-down": (STANDS, TACKS, LOWERED, COILS, BATTERY, FIRE),
    "weld": (BATTERY, FIRE, HOLLOW, HEAT, FLANGES, ACROSS, STANDS, COILS, SHAFT, FUME),
    "cold": (COLD,),
    "bolts": (THREADS, STANDS, COILS),
    "inspection": (TRAVEL, COILS, SHAFT, BRAKES),
    "drive": (DRIVE, BRAKES),
    "paint": (PAINT,),
    "hand-over": (RECORD,),
}
"""Cautions of a step of the work, in the order they are read."""


def cautions(step: str) -> tuple[str, ...]:
    """Cautions of a step in words, in the reader's units. KeyError for a step nobody knows."""
    return tuple(caution() for caution in STEPS[step])


def flags(part: Part, welds: Sequence[Weld]) -> frozenset[str]:
    """What a part touches, and with it which cautions its drawing carries.

    Returns
    -------
    frozenset of str
        "welded": a weld is on it or goes to it. "closed": so to a hollow body, or it is a tube and
        is welded: it is vented first. "rail": to a frame rail.
    """
    mine = [weld for weld in welds if part.id in (weld.on, weld.to)]
    others = [weld.to if weld.on == part.id else weld.on for weld in mine]
    found = {"welded"} if mine else set()
    if any(names_body(other, There.RAIL) for other in others):
        found.add("rail")
    hollow = isinstance(part.member.body, Tube)
    closed = any(names_body(other, There.RAIL, There.AXLE) for other in others)
    if closed or (hollow and mine):
        found.add("closed")
    return frozenset(found)


BY_FLAG: Mapping[str, Sequence[Caution]] = {
    "welded": (BATTERY, FIRE),
    "closed": (HOLLOW,),
    "rail": (HEAT, FLANGES, ACROSS),
}


def of_part(part: Part, welds: Sequence[Weld]) -> tuple[str, ...]:
    """Cautions of one part's drawing: that it is no approval, then by what the part touches."""
    found = flags(part, welds)
    return (
        NOT_APPROVAL(),
        *(caution() for flag, row in BY_FLAG.items() if flag in found for caution in row),
    )
