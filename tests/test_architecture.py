"""The house as a test: packages, direction of imports, top level."""

from __future__ import annotations

import ast
import re
import subprocess
import tomllib
from graphlib import TopologicalSorter
from pathlib import Path

ROOT = Path(__file__).parent.parent
ROOMS = ("layout", "parts", "cli")
TOP = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "parts",
    "layout",
    "cli",
    "tests",
    "out",
    "LICENSE",
}


def test_packages_are_the_folders() -> None:
    listed = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]["packages"]
    found = {
        ".".join(("soapstone", *p.parent.relative_to(ROOT).parts))
        for room in ROOMS
        for p in (ROOT / room).rglob("__init__.py")
    }
    assert set(listed) == found


FLOORS = (
    (
        "layout",
        "layout.units",
        "layout.faults",
        "layout.reader",
        "layout.quantities",
        "layout.arrays",
    ),
    ("layout.assumed",),
    ("layout.graph",),
    ("layout.data",),
    ("layout.job",),
    ("layout.setout",),
    ("layout.job_file",),
    ("layout.travel",),
    ("layout.loads",),
    ("layout.setdown",),
    ("layout.explain",),
    ("parts", "parts.model"),
    ("parts.rules",),
    ("parts.stock",),
    ("parts.words",),
    ("parts.geometry",),
    ("parts.design",),
    ("parts.pieces",),
    ("parts.truck",),
    ("parts.placed",),
    ("parts.strength.elements",),
    ("parts.strength",),
    ("parts.verdict",),
    ("parts.export",),
    ("parts.drawing",),
    ("parts.drawing.assembled",),
    ("parts.documents",),
    ("parts.calculations",),
    ("parts.page",),
    ("parts.form",),
    ("cli", "cli.console", "cli.disk", "cli.interrupt", "cli.out_file", "cli.screen"),
    ("cli.building",),
    ("cli.archive",),
    ("cli.options",),
    ("cli.commands",),
    ("cli.main",),
)
"""Rooms and the few modules that stand alone, lowest first; what is higher is never imported."""


def modules() -> dict[str, Path]:
    found = {}
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            found[name.removesuffix(".__init__")] = path
    return found


MODULES = modules()


def floor(module: str) -> int:
    """The floor of the longest name that fits; a room nobody placed has none."""
    fits = [
        (len(name), n)
        for n, row in enumerate(FLOORS)
        for name in row
        if module == name
        or (module.startswith(name + ".") and name not in ("layout", "parts", "cli"))
    ]
    assert fits, f"{module} stands on no floor: say where in FLOORS"
    return max(fits)[1]


def imported(module: str) -> set[str]:
    """Every module of ours a module imports, inside its functions too."""
    path = MODULES[module]
    package = module.split(".") if path.name == "__init__.py" else module.split(".")[:-1]
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            ours = [a.name for a in node.names if a.name.split(".")[0] in (*ROOMS, "soapstone")]
            assert not ours, f"{module}: import {ours[0]}"
        if not isinstance(node, ast.ImportFrom):
            continue
        if not node.level:
            first = (node.module or "").split(".")[0]
            assert first not in (*ROOMS, "soapstone"), f"{module}: from {node.module}"
            continue
        base = ".".join([*package[: len(package) - node.level + 1], *filter(None, [node.module])])
        for a in node.names:
            whole = f"{base}.{a.name}"
            found.add(whole if whole in MODULES else base)
    return found


def test_no_room_looks_upward() -> None:
    up = [f"{m} imports {t}" for m in MODULES for t in sorted(imported(m)) if floor(t) > floor(m)]
    assert up == []


def test_no_module_imports_in_a_circle() -> None:
    graph = {m: imported(m) - {m} for m in MODULES}
    assert list(TopologicalSorter(graph).static_order()) != []


def test_every_room_says_what_it_holds() -> None:
    """Three lines at its door: what lives there, what may come in."""
    silent = [
        m
        for m, path in MODULES.items()
        if path.name == "__init__.py"
        and len(ast.get_docstring(ast.parse(path.read_text())) or "") < 60
    ]
    assert silent == []


def test_the_developers_page_draws_this_house() -> None:
    """One row a room, in the order of the floors, in the words of its door."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    drawn = re.findall(r"^\| `([a-z_/]+?)(?:/|\.py)` \| (.+) \|$", page, re.MULTILINE)
    rows = [
        (name.replace(".", "/"), " ".join(door(name).partition("\n\n")[0].split()))
        for row in FLOORS
        for name in row
    ]
    assert [tuple(r) for r in drawn if r[0].replace("/", ".") in MODULES] == rows


def door(module: str) -> str:
    """The docstring of a module."""
    return ast.get_docstring(ast.parse(MODULES[module].read_text(encoding="utf-8"))) or ""


def test_every_file_the_developers_page_names_is_there() -> None:
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = set(re.findall(r"`((?:layout|parts|cli|tests)/[\w./*]+)`", page))
    missing = sorted(path for path in named if not list(ROOT.glob(path.rstrip("/"))))
    assert len(named) > 40 and not missing, missing


def test_top_level() -> None:
    got = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if got.returncode == 0 and got.stdout:
        assert {f.split("/")[0] for f in got.stdout.splitlines() if not f.startswith(".")} == TOP
