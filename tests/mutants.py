"""Are the tests awake? Random small faults are put into one room, and the room's own tests run.

    python tests/mutants.py parts/rules --tests tests/published --count 75 --seed 1

Each mutant is one change of one constant, operator, comparison or condition, made in a copy of the
tree. It counts as killed where a test fails or does not end within ``--seconds``. Survivors are
printed with their line, to be answered with a test or with the reason why they change nothing.
Takes minutes, and is no part of the suite.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import Queue
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ("layout", "parts", "cli")
SWAPPED: dict[type[ast.AST], type[ast.AST]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.Lt: ast.GtE,
    ast.LtE: ast.Gt,
    ast.Gt: ast.LtE,
    ast.GtE: ast.Lt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.And: ast.Or,
    ast.Or: ast.And,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
BOUNDS = {"min": "max", "max": "min", "any": "all", "all": "any"}


class Mutant(NamedTuple):
    """One change: the file, its new text, and what was done where."""

    path: Path
    text: str
    says: str


def _words(tree: ast.AST) -> set[int]:
    """Ids of the nodes that are only words: docstrings and what an annotation holds."""
    found: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            found.add(id(node.value))
        for name in ("annotation", "returns"):
            held = getattr(node, name, None)
            if held is not None:
                found |= {id(n) for n in ast.walk(held)}
    return found


def _changes(node: ast.AST) -> Iterator[tuple[str, ast.AST]]:
    """Nodes that could stand in this one's place, each with what was done."""
    new = copy.deepcopy(node)
    if isinstance(node, ast.Constant) and type(node.value) in {int, float}:
        assert isinstance(new, ast.Constant)
        new.value = node.value + 1 if node.value in (0, 1, 2) else node.value * 1.25
        yield f"{node.value} -> {new.value}", new
    elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
        assert isinstance(new, ast.Constant)
        new.value = not node.value
        yield f"{node.value} -> {new.value}", new
    elif isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in SWAPPED:
        assert isinstance(new, ast.BinOp | ast.BoolOp)
        new.op = SWAPPED[type(node.op)]()  # type: ignore[assignment]  # same kind of operator
        yield f"{type(node.op).__name__} -> {type(new.op).__name__}", new
    elif isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPPED:
        assert isinstance(new, ast.Compare)
        new.ops[0] = SWAPPED[type(node.ops[0])]()  # type: ignore[call-overload]  # a comparison
        yield f"{type(node.ops[0]).__name__} -> {type(new.ops[0]).__name__}", new
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        yield f"{type(node.op).__name__} left out", copy.deepcopy(node.operand)
    elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in BOUNDS:
        assert isinstance(new, ast.Call)
        new.func = ast.Name(BOUNDS[node.func.id], ast.Load())
        yield f"{node.func.id} -> {BOUNDS[node.func.id]}", new


def mutants(room: Path) -> list[Mutant]:
    """Every mutant of a folder or file, in order of file and line."""
    found = []
    for path in sorted(room.rglob("*.py")) if room.is_dir() else [room]:
        tree = ast.parse(path.read_text(encoding="utf-8"))
        words = _words(tree)
        for node in list(ast.walk(tree)):
            if id(node) in words:
                continue
            for says, new in _changes(node):
                line = getattr(node, "lineno", 0)
                where = f"{path.relative_to(ROOT)}:{line} {says}"
                found.append(Mutant(path, _text(tree, node, new), where))
    return found


def _text(tree: ast.AST, old: ast.AST, new: ast.AST) -> str:
    """The file's text with one node put in another's place; the tree is left as it was."""
    for parent in ast.walk(tree):
        for name, held in ast.iter_fields(parent):
            if held is old:
                setattr(parent, name, new)
                text = ast.unparse(tree)
                setattr(parent, name, old)
                return text
            if isinstance(held, list):
                for i, item in enumerate(held):
                    if item is old:
                        held[i] = new
                        text = ast.unparse(tree)
                        held[i] = old
                        return text
    raise AssertionError("the node is not in the tree")


def _copy(where: Path) -> Path:
    """A copy of the tree that imports as ``soapstone``; its root."""
    base = where / "tree"
    for name in (*ROOMS, "tests", "pyproject.toml"):
        source = ROOT / name
        if source.is_dir():
            shutil.copytree(source, base / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            base.mkdir(exist_ok=True)
            shutil.copy(source, base / name)
    (where / "path" / "soapstone").mkdir(parents=True)
    for name in ROOMS:
        (where / "path" / "soapstone" / name).symlink_to(base / name)
    return base


def killed(m: Mutant, tests: list[str], seconds: float, base: Path) -> bool:
    """Whether the tests see the mutant, or never end with it."""
    target = base / m.path.relative_to(ROOT)
    target.write_text(m.text, encoding="utf-8")
    path = os.pathsep.join((str(base.parent / "path"), os.environ.get("PYTHONPATH", "")))
    command = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
    env = {**os.environ, "PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        done = subprocess.run(
            [*command, *tests], cwd=base, env=env, capture_output=True, timeout=seconds, check=False
        )
    except subprocess.TimeoutExpired:
        return True
    finally:
        shutil.copy(m.path, target)
    return done.returncode != 0


def main() -> int:
    """Sample, run two at a time, print survivors and the share killed."""
    say = argparse.ArgumentParser(description=__doc__)
    say.add_argument("room", nargs="+", help="folders or files, such as parts/rules")
    say.add_argument("--tests", nargs="+", required=True)
    say.add_argument("--count", type=int, default=75)
    say.add_argument("--seed", type=int, default=1)
    say.add_argument("--seconds", type=float, default=120.0)
    say.add_argument("--workers", type=int, default=2)
    given = say.parse_args()
    every = [m for room in given.room for m in mutants(ROOT / room)]
    sample = random.Random(given.seed).sample(every, min(given.count, len(every)))
    with tempfile.TemporaryDirectory() as folder:
        trees: Queue[Path] = Queue()
        for i in range(given.workers):
            trees.put(_copy(Path(folder) / str(i)))

        def one(m: Mutant) -> bool:
            base = trees.get()
            try:
                return killed(m, given.tests, given.seconds, base)
            finally:
                trees.put(base)

        with ThreadPoolExecutor(given.workers) as pool:
            seen = list(pool.map(one, sample))
    for m, dead in zip(sample, seen, strict=True):
        if not dead:
            print("survived:", m.says)
    print(f"{sum(seen)} of {len(seen)} killed, {len(every)} there are")
    return 0


if __name__ == "__main__":
    sys.exit(main())
