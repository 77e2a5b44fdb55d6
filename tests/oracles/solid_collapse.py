"""A flat plate as small bricks of steel that yields and does not harden, loaded until it gives way.

Source: CalculiX (`apt-get install calculix-ccx`), a general-purpose program outside the project.
Bricks of eight corners with incompatible modes (C3D8I), two or more through the thickness, on a
square grid clipped by the outline; small displacements. mm, N, MPa.
"""

from __future__ import annotations

import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import NamedTuple

import numpy as np
from soapstone.parts.geometry.outline import flatten
from soapstone.parts.model.body import Loop
from soapstone.parts.strength.elements.mesh import inside

E, NU = 200_000.0, 0.3
CORNERS = ((0, 0), (1, 0), (1, 1), (0, 1))


class Bricks(NamedTuple):
    """Corners (n, 3) in the plate's own axes, z from its bottom face, and bricks (m, 8)."""

    nodes: np.ndarray
    bricks: np.ndarray


def bricks(outline: Loop, openings: Sequence[Loop], t: float, size: float, deep: int) -> Bricks:
    """The plate in squares of about ``size`` that divide its length and its width evenly, ``deep``
    through its thickness.
    """
    corners = np.array(flatten(outline, 0.05))
    low, high = corners.min(axis=0), corners.max(axis=0)
    many = np.maximum(np.round((high - low) / size).astype(int), 1)
    step = (high - low) / many
    cells = np.stack(np.meshgrid(*(np.arange(n) for n in many), indexing="ij"), -1).reshape(-1, 2)
    cells = cells[inside(low + (cells + 0.5) * step, outline, openings)]
    numbers: dict[tuple[int, int, int], int] = {}
    found = [
        [
            numbers.setdefault((int(x) + dx, int(y) + dy, layer + up), len(numbers))
            for up in (0, 1)
            for dx, dy in CORNERS
        ]
        for x, y in cells
        for layer in range(deep)
    ]
    places = np.array(list(numbers)) * np.array((*step, t / deep)) + np.array((*low, 0.0))
    return Bricks(places, np.array(found))


def collapse(
    folder: Path, made: Bricks, fy: float, held: np.ndarray, load: np.ndarray, most: float
) -> float:
    """How many times ``load`` (n, 3) the plate carries until it gives way, up to ``most``;
    ``held`` (n, 3): which displacements are zero.
    """
    rows = ["*NODE,NSET=N"]
    rows += [f"{i},{x:.5f},{y:.5f},{z:.5f}" for i, (x, y, z) in enumerate(made.nodes, 1)]
    rows += ["*ELEMENT,TYPE=C3D8I,ELSET=ALL"]
    rows += [f"{i}," + ",".join(map(str, e + 1)) for i, e in enumerate(made.bricks, 1)]
    rows += ["*MATERIAL,NAME=S", "*ELASTIC", f"{E},{NU}", "*PLASTIC", f"{fy},0.0"]
    rows += ["*SOLID SECTION,ELSET=ALL,MATERIAL=S", "*BOUNDARY"]
    rows += [f"{i + 1},{way + 1},{way + 1}" for i, way in zip(*np.nonzero(held), strict=True)]
    rows += ["*STEP,INC=60", "*STATIC", "0.2,1.0,0.01,0.2", "*CLOAD"]
    rows += [
        f"{i + 1},{way + 1},{most * load[i, way]:.6e}"
        for i, way in zip(*np.nonzero(load), strict=True)
    ]
    rows += ["*NODE PRINT,NSET=N,TOTALS=ONLY,FREQUENCY=100", "RF", "*END STEP"]
    (folder / "plate.inp").write_text("\n".join(rows) + "\n")
    subprocess.run(["ccx", "plate"], cwd=folder, check=False, capture_output=True, timeout=550)
    steps = [line.split() for line in (folder / "plate.sta").read_text().splitlines()]
    times = [float(row[4]) for row in steps if len(row) == 7 and row[2].isdigit()]
    return most * max(times, default=0.0)
