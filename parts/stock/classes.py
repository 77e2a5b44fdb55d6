"""Strength of bolts by their mark: SAE J429 grades for inch sizes, ISO 898-1 classes for metric
ones; which mark a bolt carries.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from ..model.family import Site
from .tables import bolt, rows

KSI = 6.894757
"""MPa in a thousand pounds a square inch."""
EDGE = 1e-6
"""mm by which a diameter may pass a row of the table: rounding of an inch."""
LEAST = {False: "grade 5", True: "class 8.8"}
"""The least mark in common use, inch and metric (common practice, no source): what is taken where
nobody says.
"""
PLACES = {
    "arm.bolt": ("axle.bolt", "pivot"),
    "upper.mount": ("axle.upper_bolt", "pivot"),
    "upper.joint": ("arms.upper_joint_bolt", "pivot"),
    "arm.joint": ("arms.joint_bolt", "pivot"),
    "bar.axle": ("track_bar.bolt", "steering"),
    "bar.frame": ("track_bar.bolt", "steering"),
    "cross.side": ("frame.bolt", "frame"),
    "cross.bottom": ("frame.bolt", "frame"),
    "cross.flange": ("frame.bolt", "frame"),
    "transmission.mount": ("driveline.mount.bolt", "mount"),
    "shock": ("travel.shock_bolt", "mount"),
    "strap": ("travel.strap_bolt", "mount"),
    "coil.retainer": ("", "mount"),
}
"""Bolt by its id -> the job's field for it, empty where the job has none, and its use."""
USES = ("pivot", "steering", "frame", "mount")


class BoltClass(NamedTuple):
    """Strength of a mark at one size.

    Attributes
    ----------
    name : str
        As it stands on the head: "grade 8", "class 10.9".
    proof, fy, fu : float
        Proof load, yield and tensile strength over the tensile stress area, MPa.
    tag, source : str
        How the value was seen, and in which table.
    """

    name: str
    proof: float
    fy: float
    fu: float
    tag: str
    source: str


def metric(size: str) -> bool:
    """Whether a thread is metric: "M12x1.75" is, "1/2-13" is not."""
    return size.startswith("M")


def fits(name: str, size: str) -> bool:
    """Whether a mark belongs to a thread's system: grades to inch sizes, classes to metric ones."""
    return name.startswith("class") == metric(size)


def class_of(name: str, size: str) -> BoltClass:
    """Strength of a mark at a thread's size: a mark is weaker in thick bolts.

    Parameters
    ----------
    name, size : str
        "grade 8" with "5/8-11", "class 10.9" with "M16x2".

    Raises
    ------
    ValueError
        The mark is of the other system.
    KeyError
        There is none of that size.
    """
    if not fits(name, size):
        raise ValueError(f"{size} carries no {name}: grades are for inch sizes, classes for metric")
    d = bolt(size).d
    for row in rows("classes"):
        if row["class"] == name and float(row["over_mm"]) < d - EDGE <= float(row["to_mm"]):
            to_MPa = KSI if row["unit"] == "ksi" else 1.0
            return BoltClass(
                name=name,
                proof=to_MPa * float(row["proof"]),
                fy=to_MPa * float(row["yield"]),
                fu=to_MPa * float(row["tensile"]),
                tag=row["tag"],
                source=row["source"],
            )
    raise KeyError(
        f"no {name} in {size}; known: {', '.join(sorted({r['class'] for r in rows('classes')}))}"
    )


def place_of(bolt_id: str) -> tuple[str, str]:
    """Job field that names a bolt's size, and its use, by the bolt's id; KeyError for an unknown
    one.
    """
    return PLACES[next(p for p in PLACES if bolt_id == p or bolt_id.startswith((f"{p}.", f"{p}#")))]


def given(words: Mapping[str, str], classes: Mapping[str, str], bolt_id: str, size: str) -> str:
    """The mark that the job, or else the shop's setting for its use, gives a bolt; "" where neither
    does, or where it is of the other system than ``size``.
    """
    field, use = place_of(bolt_id)
    typed = (words.get(f"{field}_class", "") if field else "", classes.get(setting(use, size), ""))
    return next((mark for mark in typed if mark and fits(mark, size)), "")


def setting(use: str, size: str) -> str:
    """Word of the shop file's [bolts] for a use: ``pivot``, and ``pivot_metric`` for metric
    threads.
    """
    return f"{use}_metric" if metric(size) else use


def class_for(site: Site, bolt_id: str, size: str) -> str:
    """The mark of a bolt on one side of the truck: what the job says of it, else the shop, else the
    least in common use. ``Site`` notes that the word was read.
    """
    field = place_of(bolt_id)[0]
    typed = {f"{field}_class": site.word(f"{field}_class")} if field else {}
    return given(typed, site.shop.classes, bolt_id, size) or LEAST[metric(size)]


def bar_of(size: str) -> str:
    """Bar of a dowel, by the thread of the same diameter.

    >>> bar_of("1/2-13"), bar_of("M12x1.75")
    ('1/2', '12 mm')
    """
    return f"{bolt(size).d:g} mm" if metric(size) else size.partition("-")[0]


def called(size: str, grade: str) -> str:
    """A bolt as it is printed everywhere: "5/8-11 grade 8", "M20x2.5 class 8.8"; a dowel by its
    diameter.
    """
    return f"dowel {bar_of(size)}" if grade == "dowel" else f"{size} {grade}".strip()
