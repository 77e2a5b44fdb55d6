"""The house as a test: packages, direction of imports, top level."""

from __future__ import annotations

import ast
import subprocess
import tomllib
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


def test_imports_go_one_way() -> None:
    below = {"layout": ("parts", "cli"), "parts": ("cli",), "cli": ()}
    for room in ROOMS:
        for path in (ROOT / room).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text())):
                names = (
                    [a.name for a in node.names]
                    if isinstance(node, ast.Import)
                    else [node.module or ""]
                    if isinstance(node, ast.ImportFrom)
                    else []
                )
                for n in names:
                    assert n.split(".")[0] not in ROOMS or (
                        isinstance(node, ast.ImportFrom) and node.level
                    ), f"{path}: import {n}"
                    assert not any(n.startswith(f"soapstone.{b}") for b in below[room]), (
                        f"{path}: {n}"
                    )
                    if isinstance(node, ast.ImportFrom) and node.level > 1:
                        assert not n.startswith(tuple(below[room])) or not below[room], (
                            f"{path}: {n}"
                        )


def test_top_level() -> None:
    got = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False)
    if got.returncode == 0 and got.stdout:
        assert {f.split("/")[0] for f in got.stdout.splitlines() if not f.startswith(".")} == TOP
