"""Are the tests awake? Random small faults are put into one room, and the room's own tests run.

    python tests/mutants.py parts/rules --tests tests/published --count 75 --seed 1

Each mutant is one change of one constant, operator, comparison, bound or condition, made in a copy
of the tree: the tree itself is only read. First the tests run on the copy as it is; they must pass,
and their time sets how long a mutant may take (three times as long, a minute at least). A mutant is
killed where a test fails (pytest's exit 1), where it never ends, or where it cannot be imported.
Any other end of pytest says nothing about the tests: it is an error, shown by itself.

Left alone, since they change no result: docstrings and annotations, imports for types alone,
whatever is under ``raise``, joined texts, tolerances (floats to 1e-6), and arguments that guard a
slip (``GUARDS``). Comparisons
are turned round; their limit itself is moved only against a whole number, for two measures are
never quite equal. Survivors are printed with their line, to be answered with a test, or with a row
of ``reviewed_mutants.toml`` that says why nothing can change. Takes minutes, no part of the suite.
"""

from __future__ import annotations

import argparse
import ast
import copy
import os
import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from collections.abc import Iterator
from enum import Enum
from pathlib import Path
from typing import NamedTuple

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ("layout", "parts", "cli")
COPIED = (*ROOMS, "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
REVIEWED = Path(__file__).parent / "reviewed_mutants.toml"
TOLERANCE = 1e-6
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
    ast.BitAnd: ast.BitOr,
    ast.BitOr: ast.BitAnd,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
LIMITS: dict[type[ast.AST], type[ast.AST]] = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
}
BOUNDS = {"min": "max", "any": "all", "minimum": "maximum", "floor": "ceil"}
BOUNDS |= {new: old for old, new in BOUNDS.items()}
GUARDS = {"strict", "frozen", "slots", "kw_only", "maxsize"}
LARGE = 20
"""Whole numbers up to here are a count or an index, off by one; larger ones a measure."""


class Mutant(NamedTuple):
    """One change: where it is, the line as it stands, what was there, what is put there."""

    path: Path
    line: int
    source: str
    change: str
    tree: ast.Module
    old: ast.AST
    new: ast.AST

    def text(self) -> str:
        """The file with the change made; the tree is left as it was."""
        for parent in ast.walk(self.tree):
            for name, held in ast.iter_fields(parent):
                if held is self.old:
                    setattr(parent, name, self.new)
                    text = ast.unparse(self.tree)
                    setattr(parent, name, self.old)
                    return text
                if isinstance(held, list) and any(item is self.old for item in held):
                    setattr(parent, name, [self.new if x is self.old else x for x in held])
                    text = ast.unparse(self.tree)
                    setattr(parent, name, held)
                    return text
        raise AssertionError("the node is not in the tree")

    def key(self) -> tuple[str, str, str]:
        """What a review knows it by: the file, the line's own text, the change."""
        return self.path.relative_to(ROOT).as_posix(), self.source, self.change


class End(Enum):
    """How the tests ended on a mutant."""

    KILLED = "killed"
    SURVIVED = "survived"
    ERROR = "error"


def _left_alone(tree: ast.AST) -> set[int]:
    """Ids of the nodes that change no result, with all that is in them."""
    tops: list[ast.AST] = []
    for node in ast.walk(tree):
        if (
            isinstance(node, ast.Raise | ast.JoinedStr)
            or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
            or (isinstance(node, ast.keyword) and node.arg in GUARDS)
            or (isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING")
        ):
            tops.append(node)
        held = [getattr(node, name, None) for name in ("annotation", "returns")]
        tops += [each for each in held if each is not None]
    return {id(node) for top in tops for node in ast.walk(top)}


def _numbers(value: float) -> Iterator[float]:
    """Numbers to stand for this one."""
    if isinstance(value, bool):
        yield not value
    elif isinstance(value, int):
        yield from (value + 1, value - 1) if abs(value) <= LARGE else (round(value * 1.25),)
    elif value == 0:
        yield 1.0
    elif abs(value) > TOLERANCE:
        yield value * 1.25


def _is_words(node: ast.AST) -> bool:
    """Texts, lists and names of types: another operator between them would only crash."""
    if isinstance(node, ast.BinOp):
        return _is_words(node.left) or _is_words(node.right)
    if isinstance(node, ast.AugAssign):
        return _is_words(node.value)
    if isinstance(node, ast.Name):
        return node.id[0].isupper() and not node.id.isupper()
    return isinstance(node, ast.JoinedStr | ast.Tuple | ast.List) or (
        isinstance(node, ast.Constant) and not isinstance(node.value, int | float)
    )


def _whole(node: ast.AST) -> bool:
    """Whether this is surely a whole number."""
    return (isinstance(node, ast.Constant) and type(node.value) is int) or (
        isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "len"
    )


def _compared(node: ast.Compare) -> Iterator[ast.AST]:
    """A comparison turned round; beside a whole number, its limit moved too."""
    sides = [node.left, *node.comparators]
    for i, op in enumerate(node.ops):
        others = [SWAPPED[type(op)]]
        if type(op) in LIMITS and (_whole(sides[i]) or _whole(sides[i + 1])):
            others.append(LIMITS[type(op)])
        for other in others:
            new = copy.deepcopy(node)
            new.ops[i] = other()
            yield new


def _bounded(node: ast.Call) -> Iterator[ast.AST]:
    """min for max, any for all, and so on."""
    new = copy.deepcopy(node)
    if isinstance(new.func, ast.Name) and new.func.id in BOUNDS:
        new.func.id = BOUNDS[new.func.id]
        yield new
    elif isinstance(new.func, ast.Attribute) and new.func.attr in BOUNDS:
        new.func.attr = BOUNDS[new.func.attr]
        yield new


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    """Nodes that could stand in this one's place."""
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        yield from (ast.Constant(value) for value in _numbers(node.value))
    elif isinstance(node, ast.BinOp | ast.BoolOp | ast.AugAssign) and type(node.op) in SWAPPED:
        if isinstance(node, ast.BoolOp) or not _is_words(node):
            new = copy.deepcopy(node)
            new.op = SWAPPED[type(node.op)]()
            yield new
    elif isinstance(node, ast.Compare):
        yield from _compared(node)
    elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub | ast.Not):
        yield copy.deepcopy(node.operand)
    elif isinstance(node, ast.Call):
        yield from _bounded(node)
    elif isinstance(node, ast.If | ast.IfExp | ast.While) and not isinstance(
        node.test, ast.Compare | ast.UnaryOp
    ):
        new = copy.deepcopy(node)
        new.test = ast.UnaryOp(ast.Not(), new.test)
        yield new
    elif isinstance(node, ast.Return) and isinstance(node.value, ast.BoolOp):
        yield ast.Return(ast.UnaryOp(ast.Not(), copy.deepcopy(node.value)))


def _said(node: ast.AST) -> str:
    """A node in one line; of a branch its condition."""
    if isinstance(node, ast.If | ast.While):
        return f"{type(node).__name__.lower()} {ast.unparse(node.test)}"
    return ast.unparse(ast.fix_missing_locations(copy.deepcopy(node))).replace("\n", " ")


def mutants(room: Path) -> list[Mutant]:
    """Every mutant of a folder or file, in order of file and line."""
    found = []
    for path in sorted(room.rglob("*.py")) if room.is_dir() else [room]:
        text = path.read_text(encoding="utf-8")
        tree, lines = ast.parse(text), text.splitlines()
        alone = _left_alone(tree)
        for node in list(ast.walk(tree)):
            for new in _changes(node) if id(node) not in alone else ():
                at, column = getattr(node, "lineno", 1), getattr(node, "col_offset", 0)
                source = lines[at - 1].strip()
                column -= len(lines[at - 1]) - len(lines[at - 1].lstrip())
                change = f"column {column}: {_said(node)} -> {_said(new)}"
                found.append(Mutant(path, at, source, change, tree, node, new))
    return found


def _copy(where: Path) -> Path:
    """A copy of the tree that imports as ``soapstone``; its root."""
    base = where / "tree"
    base.mkdir()
    for name in COPIED:
        if (ROOT / name).is_dir():
            unwanted = shutil.ignore_patterns("__pycache__")
            shutil.copytree(ROOT / name, base / name, ignore=unwanted)
        else:
            shutil.copy(ROOT / name, base / name)
    (where / "path" / "soapstone").mkdir(parents=True)
    for name in ROOMS:
        (where / "path" / "soapstone" / name).symlink_to(base / name)
    # compiled once, not for every mutant; the one file that changes is told by its contents
    compiled = ["-m", "compileall", "-q", "--invalidation-mode", "checked-hash"]
    subprocess.run([sys.executable, *compiled, where], check=False)
    return base


def _run(base: Path, command: list[str], seconds: float | None = None) -> tuple[int | None, str]:
    """Exit code (None: had to be stopped) and output of Python on the copy; it and all it started
    are gone at the end, Ctrl-C or not.
    """
    path = os.pathsep.join((str(base.parent / "path"), os.environ.get("PYTHONPATH", "")))
    env = {**os.environ, "PYTHONPATH": path, "PYTHONDONTWRITEBYTECODE": "1"}
    with subprocess.Popen(
        [sys.executable, *command],
        cwd=base,
        env=env,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        start_new_session=True,
    ) as process:
        try:
            out, _ = process.communicate(timeout=seconds)
        except subprocess.TimeoutExpired:
            return None, ""
        finally:
            if process.poll() is None:
                os.killpg(process.pid, signal.SIGKILL)
    return process.returncode, out


def _tests(base: Path, tests: list[str], seconds: float | None = None) -> tuple[int | None, str]:
    options = ["-p", "no:cacheprovider", "-n", "0", "-x", "-q", "--no-header", "--tb=short"]
    return _run(base, ["-m", "pytest", *options, *tests], seconds)


def _end(code: int | None, out: str) -> End:
    """What an exit of pytest says: 1 a test failed, 2 or 4 with these words a module that cannot be
    imported any more.
    """
    crashed = "ERROR collecting" in out or "while loading conftest" in out
    if code is None or code == 1 or (code in (2, 4) and crashed):
        return End.KILLED
    return End.SURVIVED if code == 0 else End.ERROR


def _baseline(base: Path, tests: list[str]) -> float:
    """Seconds the tests take on the tree as it is; ends here where they do not pass."""
    where = "import soapstone.layout as house; print(house.__file__)"
    _, out = _run(base, ["-c", where])
    if str(base.parent) not in out:
        sys.exit(f"not the copy is tested, but {out.strip()}")
    start = time.monotonic()
    code, out = _tests(base, tests)
    took = time.monotonic() - start
    if code != 0:
        sys.exit(f"{out}\nthe tests do not pass as they are (pytest exit {code})")
    return took


def _reviewed(file: Path, every: list[Mutant], rooms: list[str]) -> set[tuple[str, str, str]]:
    """Changes that were looked at and change nothing; ends here at a row that fits no mutant of the
    rooms any more, or gives no reason.
    """
    rows = tomllib.loads(file.read_text(encoding="utf-8")).get("mutant", [])
    there = {m.key() for m in every}
    keys = {(row["file"], row["line"], row["change"]) for row in rows if row["why"].strip()}
    mine = {key for key in keys if any(Path(key[0]).is_relative_to(room) for room in rooms)}
    if len(keys) != len(rows) or mine - there:
        stale = "".join(f"\n  {' | '.join(key)}" for key in sorted(mine - there))
        sys.exit(f"{file.name}: a row twice, without a reason, or of no mutant:{stale}")
    return mine


def _options() -> argparse.ArgumentParser:
    say = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    say.add_argument("room", nargs="+", help="folders or files, such as parts/rules")
    say.add_argument("--tests", nargs="+", required=True, help="files, folders or single tests")
    say.add_argument("--count", type=int, default=75)
    say.add_argument("--seed", type=int, default=1)
    say.add_argument("--least", type=float, default=0.9, help="share that must be killed")
    say.add_argument("--equivalent", type=Path, default=REVIEWED, help="mutants reviewed")
    return say


def main() -> int:
    """Sample, run one by one, print survivors and the share killed; 0 where it is enough."""
    given = _options().parse_args()
    every = [m for room in given.room for m in mutants(ROOT / room)]
    sample = random.Random(given.seed).sample(every, min(given.count, len(every)))
    reviewed = _reviewed(given.equivalent, every, given.room)
    asked = [m for m in sample if m.key() not in reviewed]
    ends: list[End] = []
    with tempfile.TemporaryDirectory() as folder:
        base = _copy(Path(folder).resolve())
        took = _baseline(base, given.tests)
        most = max(60.0, 3 * took)
        print(f"as it is: passed in {took:.1f} s; a mutant may take {most:.0f} s", flush=True)
        for m in asked:
            target = base / m.path.relative_to(ROOT)
            as_it_was = target.read_bytes()
            target.write_text(m.text(), encoding="utf-8")
            code, out = _tests(base, given.tests, most)
            target.write_bytes(as_it_was)
            ends.append(_end(code, out))
            if ends[-1] is not End.KILLED:
                where = f"{m.path.relative_to(ROOT).as_posix()}:{m.line}"
                print(f"{ends[-1].value}: {where}\n    {m.source}\n    {m.change}", flush=True)
            if ends[-1] is End.ERROR:
                print(f"    pytest exit {code}\n{out[-1500:]}", flush=True)
    dead, errors = ends.count(End.KILLED), ends.count(End.ERROR)
    print(
        f"{len(sample)} of {len(every)} drawn (seed {given.seed}), "
        f"{len(sample) - len(asked)} reviewed as equivalent, {len(asked)} run: "
        f"{dead} killed, {ends.count(End.SURVIVED)} survived, {errors} errors"
    )
    return 0 if not errors and dead >= given.least * len(asked) else 1


if __name__ == "__main__":
    sys.exit(main())
