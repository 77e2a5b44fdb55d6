"""The coil-seat plate's solid as it leaves in the STEP file, in three-dimensional elements, against
the tool's own plate elements on the same outline.

Sources: gmsh and CalculiX, general-purpose programs outside the project. Slow: run where both are
there (`apt-get install calculix-ccx libglu1-mesa`, `pip install gmsh`) with `pytest
tests/parts/strength/test_solid_elements.py`; skipped elsewhere.
"""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest
from soapstone.parts.export import step
from soapstone.parts.geometry.prism import into
from soapstone.parts.model.body import Plate
from soapstone.parts.placed.fit import weld_line
from soapstone.parts.stock import default_shop
from soapstone.parts.strength.elements import plate as fem
from soapstone.parts.strength.elements.mesh import mesh
from soapstone.parts.strength.elements.mesh import near as beside
from trucks import truck

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(shutil.which("ccx") is None, reason="CalculiX is not installed"),
]
SIZE, HELD = 5.0, 6.0
E, NU = 200_000.0, 0.3


def solid_mesh(path: Path) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Node numbers, coordinates and ten-node tetrahedra of a STEP file."""
    gmsh = pytest.importorskip("gmsh")
    gmsh.initialize()
    try:
        gmsh.option.setNumber("General.Terminal", 0)
        gmsh.model.occ.importShapes(str(path))
        gmsh.model.occ.synchronize()
        gmsh.option.setNumber("Mesh.MeshSizeMax", SIZE)
        gmsh.model.mesh.generate(3)
        gmsh.model.mesh.setOrder(2)
        tags, xyz, _ = gmsh.model.mesh.getNodes()
        kinds, _, nodes = gmsh.model.mesh.getElements(3)
        tets = nodes[list(kinds).index(11)].reshape(-1, 10)
        return (
            tags.astype(int),
            xyz.reshape(-1, 3),
            tets[:, [0, 1, 2, 3, 4, 5, 6, 7, 9, 8]].astype(int),
        )
    finally:
        gmsh.finalize()


def run_ccx(
    folder: Path,
    tags: np.ndarray,
    xyz: np.ndarray,
    tets: np.ndarray,
    held: np.ndarray,
    load: np.ndarray,
) -> tuple[np.ndarray, np.ndarray]:
    """Displacement and stress (xx yy zz xy yz zx) at the nodes."""
    rows = [
        "*NODE",
        *(f"{t},{x:.6f},{y:.6f},{z:.6f}" for t, (x, y, z) in zip(tags, xyz, strict=True)),
        "*ELEMENT,TYPE=C3D10,ELSET=ALL",
    ]
    rows += [f"{i}," + ",".join(map(str, e)) for i, e in enumerate(tets, 1)]
    rows += [
        "*MATERIAL,NAME=S",
        "*ELASTIC",
        f"{E},{NU}",
        "*SOLID SECTION,ELSET=ALL,MATERIAL=S",
        "*BOUNDARY",
        *(f"{t},1,3" for t in tags[held]),
        "*STEP",
        "*STATIC",
        "*CLOAD",
    ]
    rows += [
        f"{t},{k + 1},{v:.8e}"
        for t, f in zip(tags, load, strict=True)
        for k, v in enumerate(f)
        if v
    ]
    rows += ["*NODE FILE", "U", "*EL FILE", "S", "*END STEP"]
    (folder / "p.inp").write_text("\n".join(rows) + "\n")
    subprocess.run(["ccx", "p"], cwd=folder, check=True, capture_output=True, timeout=500)
    found: dict[str, dict[int, list[float]]] = {}
    block = ""
    for line in (folder / "p.frd").read_text().splitlines():
        if line.startswith(" -4"):
            block = line.split()[1]
            found[block] = {}
        elif line.startswith(" -1") and block:
            values = [float(line[13 + 12 * k : 25 + 12 * k]) for k in range((len(line) - 13) // 12)]
            found[block][int(line[3:13])] = values
        elif line.startswith(" -3"):
            block = ""
    return np.array([found["DISP"][t][:3] for t in tags]), np.array(
        [found["STRESS"][t][:6] for t in tags]
    )


def test_coil_seat_plate_as_a_solid(tmp_path: Path) -> None:
    t, _ = truck()
    shop = default_shop()
    part = next(p for p in t.singles if p.id == "CS1.L")
    m = part.member
    assert isinstance(m.body, Plate)
    thick = shop.plate(m.body.stock).thickness
    path = tmp_path / "cs1.step"
    path.write_bytes(step.part_text(part, shop))
    tags, truck_xyz, tets = solid_mesh(path)
    xyz = into(m.place, truck_xyz)
    assert xyz[:, 2].min() == pytest.approx(0.0, abs=0.01) and xyz[:, 2].max() == pytest.approx(
        thick, abs=0.01
    )
    welds = [w for w in t.assembly.welds if w.on == m.code]
    lines = [
        into(m.place, weld_line(m, e, thick, "bottom", w.stop))[:, :2]
        for w in welds
        for e in w.edges
    ]
    flat = mesh(m.body.outline, m.body.openings, SIZE)

    def near(p: np.ndarray) -> np.ndarray:
        return np.any([beside(p[:, :2], x, HELD) for x in lines], axis=0)

    # a couple as the mount gives it: pulled off along the top of a patch, pushed on along its foot,
    # and pushed up in its own plane
    def pushed(p: np.ndarray) -> np.ndarray:
        mid, tall = (xyz[:, 1].min() + xyz[:, 1].max()) / 2, xyz[:, 1].max() - xyz[:, 1].min()
        f = np.zeros((len(p), 3))
        for at, out in ((mid + tall / 4, 1.0), (mid - tall / 4, -1.0)):
            strip = (np.abs(p[:, 0]) < 80) & (np.abs(p[:, 1] - at) < 0.6 * SIZE)
            f[strip] += np.array((0.0, 4000.0, 6000.0 * out)) / strip.sum()
        return f

    held2 = np.zeros((len(flat.nodes), 5), dtype=bool)
    held2[near(flat.nodes)] = (
        True  # clamped in both: a solid held through its thickness cannot turn there
    )
    load2 = np.zeros((len(flat.nodes), 5))
    load2[:, :3] = pushed(flat.nodes)
    mine = fem.solve(flat, thick, held2, load2)
    # the same force, through the thickness, in truck axes for the solid
    turn = np.array((m.place.x, m.place.y, m.place.z))
    u, s = run_ccx(tmp_path, tags, truck_xyz, tets, near(xyz), pushed(xyz) @ turn)
    own_u = u @ turn.T
    assert np.abs(own_u[:, 2]).max() == pytest.approx(np.abs(mine.u[:, 2]).max(), rel=0.03)
    clear = ~np.any([beside(xyz[:, :2], x, 2 * thick) for x in lines], axis=0) & (
        np.abs(pushed(xyz)).sum(axis=1) == 0
    )
    von = np.sqrt(
        ((s[:, 0] - s[:, 1]) ** 2 + (s[:, 1] - s[:, 2]) ** 2 + (s[:, 2] - s[:, 0]) ** 2) / 2
        + 3 * (s[:, 3:] ** 2).sum(axis=1)
    )
    assert fem.fair(mine, lines, 2 * thick) == pytest.approx(
        float(np.quantile(von[clear], 0.9995)), rel=0.06
    )
