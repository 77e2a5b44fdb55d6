"""The house's budgets: files that can be read at a sitting, functions that fit a screen."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
FILE, FUNCTION, WIDE = 400, 50, 100
"""Most lines of a file and of a function, its docstring counted; most columns of a line, what a
linter is told at its end counted too.
"""
UNNAMED = 6
"""Most values that are given to a class without their names."""
ROOMS = ("layout", "parts", "cli")


def modules(*rooms: str) -> Iterator[tuple[str, str]]:
    """Path and text of every module of these rooms."""
    for room in rooms:
        for path in sorted((ROOT / room).rglob("*.py")):
            yield str(path.relative_to(ROOT)), path.read_text(encoding="utf-8")


def long_functions(text: str, most: int = FUNCTION) -> list[str]:
    """Every function of more lines than ``most``, with how many it has."""
    return [
        f"{node.name}: {lines} lines"
        for node in ast.walk(ast.parse(text))
        if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))
        and (lines := (node.end_lineno or 0) - node.lineno + 1) > most
    ]


@pytest.mark.parametrize("room", [*ROOMS, "tests"])
def test_no_file_is_longer_than_the_budget(room: str) -> None:
    found = {path: len(text.splitlines()) for path, text in modules(room)}
    long = {path: lines for path, lines in found.items() if lines > FILE}
    assert found and not long, f"over {FILE} lines, split by subject: {long}"


@pytest.mark.parametrize("room", ROOMS)
def test_no_function_is_longer_than_the_budget(room: str) -> None:
    long = {path: found for path, text in modules(room) if (found := long_functions(text))}
    assert not long, f"over {FUNCTION} lines, split by subject: {long}"


@pytest.mark.parametrize("room", [*ROOMS, "tests"])
def test_no_line_is_wider_than_the_budget(room: str) -> None:
    wide = [
        f"{path}:{number}"
        for path, text in modules(room)
        for number, line in enumerate(text.splitlines(), 1)
        if len(line) > WIDE
    ]
    assert not wide, f"over {WIDE} columns: {wide}"


def test_the_budget_sees_a_long_function_wherever_it_stands() -> None:
    inside = "class A:\n    async def long(self):\n" + "        x = 1\n" * 3
    assert long_functions(inside, 3) == ["long: 4 lines"] and not long_functions(inside, 4)


def classes(*rooms: str) -> dict[str, list[str]]:
    """Every class by its name, with the modules that have one called so."""
    found: dict[str, list[str]] = {}
    for path, text in modules(*rooms):
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.ClassDef):
                found.setdefault(node.name, []).append(path)
    return found


def aliases(text: str) -> set[str]:
    """Every name a module binds that reads like a type: "Rows", not "ROWS", "rows" or "_Rows"."""
    found = set()
    for node in ast.parse(text).body:
        targets = node.targets if isinstance(node, ast.Assign) else []
        targets += [node.target] if isinstance(node, ast.AnnAssign) else []
        for target in targets:
            if isinstance(target, ast.Name) and target.id[0].isupper() and not target.id.isupper():
                found.add(target.id)
    return found


def test_one_type_name_has_one_meaning() -> None:
    """Classes, and the types, type variables and options that modules give names of their own."""
    found = classes(*ROOMS)
    for path, text in modules(*ROOMS):
        for name in aliases(text):
            found.setdefault(name, []).append(path)
    twice = {name: where for name, where in found.items() if len(where) > 1}
    assert len(found) > 600 and not twice, twice


def test_a_type_of_a_module_is_seen_however_it_is_written() -> None:
    text = "Row = tuple[int, int]\nJson: TypeAlias = 'str'\nT = TypeVar('T')\nMOST = 3\nrow = 1"
    assert aliases(text) == {"Row", "Json"}


def unnamed(text: str, most: int = UNNAMED) -> list[str]:
    """Every class given more values without their names than ``most``, with its line."""
    return [
        f"{node.lineno}: {node.func.id}, {len(node.args)}"
        for node in ast.walk(ast.parse(text))
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Name)
        and node.func.id[0].isupper()
        and len(node.args) > most
    ]


def test_no_class_is_given_many_values_without_their_names() -> None:
    found = {path: rows for path, text in modules(*ROOMS) if (rows := unnamed(text))}
    assert not found, f"over {UNNAMED} values, give them by name: {found}"


def test_values_without_names_are_counted() -> None:
    assert unnamed("a = Row(1, 2, x=3)", 1) == ["1: Row, 2"] and not unnamed("Row(1, x=2)", 1)
