"""Load cases: what the ground does, where the 1.5 of rare cases enters, and the forces at every
joint.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

import numpy as np

from ...layout.arrays import Array
from ...layout.loads.cases import RARE
from ...layout.loads.forces import Forces
from ...layout.reader import reader
from ..strength.named_loads import OWN, case_of
from ..words.numbers import worded
from . import figures
from .paper import Column, Paper

PLACES = {"in": 3, "mm": 0}
"""Decimals of a force: kip to 0.001, N whole."""


def _n(value: float, inside: str = "N") -> str:
    return figures.fixed(value, inside, PLACES[reader().value])


def _three(values: Iterable[float]) -> str:
    return "  ".join(_n(float(value)) for value in values)


def cases(pages: Paper, found: Sequence[Forces]) -> None:
    """Every case: its words and source, then the ground's forces unfactored and factored."""
    pages.chapter("load cases and tire forces")
    unit = figures.unit_of("N")[0]
    pages.line(
        "Two levels. What happens often stands against allowable strength (nominal strength over"
        " 2.00 for bolts, welds and bearing, over 1.67 for yield). What is rare is divided by"
        f" {RARE:g} first: the ground's forces below are unfactored as the tires have them, and in"
        f" the last two columns factored, times 1/{RARE:g} where the case is rare. Every force"
        " after this table, in joints, free bodies and rows, is of the factored kind; nothing is"
        " divided a second time. That mapping is project judgment after AISC 360 B3. No published"
        " table of wheel forces of light off-road trucks was found."
    )
    told = {forces.case.name: forces.case for forces in found}
    pages.table(
        (Column("case", 105), Column("level", 40), Column("factor", 40), Column("what", 250),
         Column("source", 275)),
        [
            (case.name, case.level, f"{case.factor:g}", case.says, worded(case.source))
            for case in (*told.values(), *OWN.values())
        ],
    )  # fmt: skip
    pages.heading(f"Ground on tire, x  y  z, {unit}")
    rows = [
        (
            _named(forces),
            f"{forces.case.share:.4g}",
            *(_three(forces.tire[side]) for side in (0, 1)),
            *(_three(forces.case.share * forces.tire[side]) for side in (0, 1)),
        )
        for forces in found
        if not forces.bushings
    ]
    heads = ("left unfactored", "right unfactored", "left factored", "right factored")
    pages.table(
        (Column("case", 150), Column("times", 40), *(Column(head, 130) for head in heads)), rows
    )
    jacked = [forces for forces in found if np.abs(forces.jack).max() > 1 and not forces.bushings]
    for forces in jacked:
        pages.line(
            f"{_named(forces)}: a jack besides, upward on the brackets, left"
            f" {_n(float(forces.jack[0][2]))}, right {_n(float(forces.jack[1][2]))} {unit}."
        )


def _named(forces: Forces) -> str:
    return case_of(forces)


def joints(pages: Paper, found: Sequence[Forces], everyday: Sequence[Forces]) -> None:
    """Forces at every joint in every case, factored, truck axes."""
    unit = figures.unit_of("N")[0]
    pages.chapter("forces at the joints")
    pages.line(
        "Factored, truck axes: x ahead, y left, z up, of the first-named on the second. Upper arms"
        " pushed are plus, the track bar and an arm's own axis pulled plus. Cases with other"
        " bushing rates stand here where they govern a row. The everyday states, unfactored, close"
        " the table: ranges of stress are between any two of them."
    )
    whole = [*found, *everyday]
    heads: tuple[tuple[str, Callable[[Forces], Array]], ...] = (
        ("frame on arm, left", lambda f: f.joint[0]),
        ("frame on arm, right", lambda f: f.joint[1]),
        ("arm on axle, left", lambda f: f.lower[0]),
        ("arm on axle, right", lambda f: f.lower[1]),
        ("upper arm on axle, left", lambda f: f.upper_vec[0]),
        ("upper arm on axle, right", lambda f: f.upper_vec[1]),
    )
    pages.heading(f"Joints, x  y  z, {unit}")
    pages.table(
        (Column("case", 145), *(Column(head, 95) for head, _ in heads)),
        [(_named(f), *(_three(of(f)) for _, of in heads)) for f in whole],
    )
    moment = figures.unit_of("N mm")[0]
    pages.heading(f"Along links, coils, stops, straps, {unit}; moments, {moment}; left / right")
    rows = [
        (
            _named(f),
            *(_two(each) for each in (f.upper,)),
            _n(f.bar),
            *(_two(each) for each in (f.coil, f.stop, f.strap, f.axial)),
            _two(f.bend, "N mm"),
            *(" ".join(_n(float(x), "N mm") for x in f.couple[side]) for side in (0, 1)),
        )
        for f in whole
    ]
    wide = (("upper arms", 62), ("track bar", 42), ("coils", 60), ("stops", 60), ("straps", 60),
            ("arms along", 62), ("arms bent at the upper joint", 72),
            ("couple of the lower bushing, left", 76),
            ("couple of the lower bushing, right", 76))  # fmt: skip
    pages.table((Column("case", 145), *(Column(*each) for each in wide)), rows)


def _two(values: Array, inside: str = "N") -> str:
    return f"{_n(float(values[0]), inside)} / {_n(float(values[1]), inside)}"
