"""The lower bound of joined plates against limit loads in print: never over them, and not far under
on a coarse mesh.

Sources: plane-stress limit loads of EPRI NP-1931 (Kumar, German and Shih 1981), double-edge crack
4/sqrt(3) c Fy; square plate with a central hole of a fifth of its width, 0.8 Fy (Gaydon and McCrum
1954, von Mises); a rectangle's plastic moment b h^2 / 4 and its M / Mp + (N / Np)^2 = 1 (any text
on plasticity); a broad plate clamped across may reach 2 / sqrt(3) of it. All from memory.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pytest
from plate_limit import grid
from sheet_limit import Joint, Pair, Sheet, Stiff, carried, edges_of
from soapstone.parts.geometry.contours import circle, rectangle
from soapstone.parts.strength.elements.mesh import mesh

LEAST, MOST = 0.92, 1.001
CLAMPED = 2 / np.sqrt(3.0)


def bar(long: float, deep: float, many: int, deeply: int, thick: float = 1.0) -> Sheet:
    made = grid(np.linspace(0.0, long, many + 1), np.linspace(0.0, deep, deeply + 1))
    none = np.zeros(len(made.nodes), dtype=bool)
    return Sheet(made.nodes, made.triangles, thick, 1.0, up=none)


def rim(sheet: Sheet, on: np.ndarray) -> frozenset[Pair]:
    every = edges_of(sheet.triangles)
    return frozenset(p for p, sides in every.items() if len(sides) == 1 and on[list(p)].all())


def root(sheet: Sheet) -> Sheet:
    """Held along its left edge."""
    left = sheet.nodes[:, 0] < 1e-9
    edges = rim(sheet, left)
    return sheet._replace(held=edges, up=left, fast=edges)


def tip(sheet: Sheet, force: Sequence[float], moment: Sequence[float] = (0.0, 0.0, 0.0)) -> float:
    """Times the force and moment at its right edge that a cantilever carries."""
    x, y = sheet.nodes.T
    end = rim(sheet, x > x.max() - 1e-9)
    at = np.array((x.max(), y.mean(), 0.0))
    return carried(
        [root(sheet)], [Stiff([(0, end)], False, True, at, np.array(force), np.array(moment))]
    )


def test_a_bar_bent_in_its_plane() -> None:
    """1.5 times its yield moment: b h^2 / 4."""
    assert LEAST < tip(bar(3.0, 1.0, 6, 4), (0, 0, 0), (0, 0, 1)) / 0.25 < MOST


def test_a_plate_bent_and_pulled() -> None:
    """Mp = 1/4, M half of what is pulled over 2: n + n^2 = 1."""
    found = tip(bar(3.0, 1.0, 4, 2), (1, 0, 0), (0, 0.25, 0))
    assert LEAST < found / ((np.sqrt(5.0) - 1) / 2) < CLAMPED


def test_a_plate_between_two_deep_notches() -> None:
    """The upper half of it: a ligament of half the width."""
    c, wide, high = 0.5, 2.0, 0.75
    sheet = bar(wide, high, 8, 3)
    x, y = sheet.nodes.T
    smooth = rim(sheet, (y < 1e-9) & (np.abs(x - wide / 2) < c + 1e-9))
    sheet = sheet._replace(smooth=smooth, up=np.ones(len(x), dtype=bool))
    top = rim(sheet, y > high - 1e-9)
    at = np.array((wide / 2, high, 0.0))
    found = carried([sheet], [Stiff([(0, top)], False, True, at, np.eye(3)[1])])
    assert LEAST < found / (CLAMPED * 2 * c) < MOST


@pytest.mark.long
def test_a_square_plate_with_a_hole() -> None:
    outer, hole = rectangle(0.0, 0.0, 100.0, 100.0), circle((50.0, 50.0), 20.2)
    made = mesh(outer, (hole,), 30.0)
    x = made.nodes[:, 0]
    sheet = Sheet(made.nodes, made.tris, 1.0, 1.0, up=np.zeros(len(x), dtype=bool))
    found = tip(sheet, (1, 0, 0)) / 100
    assert LEAST < found / 0.8 < MOST


@pytest.mark.parametrize("square", [True, False])
def test_two_plates_that_meet_square(square: bool) -> None:
    """One upright, one out from its top, pushed down at the tip: Mp over the lever in both; on
    hinges they carry nothing.
    """
    up, out = (bar(4.0, 2.0, 4, 2, 0.1) for _ in range(2))
    up = root(up)._replace(turn=np.array([(0.0, 0, 1), (0, 1, 0), (-1, 0, 0)]))
    out = out._replace(origin=np.array((0.0, 0.0, 4.0)))
    joints = []
    for one in rim(up, up.nodes[:, 0] > 4 - 1e-9):
        i, j = (int(np.argmin(np.hypot(*(out.nodes - (0.0, up.nodes[n, 1])).T))) for n in one)
        joints.append(Joint(0, one, 1, (i, j), square))
    at = np.array((4.0, 1.0, 4.0))
    pin = Stiff([(1, rim(out, out.nodes[:, 0] > 4 - 1e-9))], False, False, at, -np.eye(3)[2])
    found = carried([up, out], [pin], joints)
    hand = 0.1**2 / 4 * 2 / 4
    assert LEAST * square <= found / hand + 1e-6 <= (CLAMPED if square else 1e-3)
