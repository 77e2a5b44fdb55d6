"""Codes of parts are the families' own: other rooms ask for a part by what it does."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from soapstone.parts.model.terms import Role
from soapstone.parts.truck import roles
from trucks import truck

ROOT = Path(__file__).resolve().parents[3]
EXAMPLES = ROOT / "cli" / "commands"
"""Help texts show what a person may type."""
FAMILIES = ROOT / "parts" / "pieces"
STRIPS = (Role.LOW_STRIP, Role.HIGH_STRIP)
"""What neither invented truck needs: its plate carries the rail without."""
FILES = [
    path
    for room in ("layout", "parts", "cli")
    for path in sorted((ROOT / room).rglob("*.py"))
    if EXAMPLES not in path.parents and FAMILIES not in path.parents
]


def texts(tree: ast.AST) -> Iterator[str]:
    """Every text of a module but its docstrings and the lines that explain a name."""
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


def typed_codes(source: str, codes: re.Pattern[str]) -> list[str]:
    return [text for text in texts(ast.parse(source)) if codes.search(text)]


@pytest.fixture(scope="module")
def codes() -> re.Pattern[str]:
    """Any code that a family of the demo made, with its number or as two letters alone."""
    made, _ = truck()
    own = {code.partition(".")[0] for code in made.made_by}
    letters = {m.group() for code in own if (m := re.match(r"[A-Z]{2}(?=\d)", code))}
    letters |= {member.family for member in made.assembly.members}
    either = "|".join(sorted(letters))
    return re.compile(rf"\b({either})\d+\b|^({either})$")


def test_no_code_of_a_part_is_typed_outside_the_families(codes: re.Pattern[str]) -> None:
    found = {
        str(path.relative_to(ROOT)): hits
        for path in FILES
        if (hits := typed_codes(path.read_text(encoding="utf-8"), codes))
    }
    assert not found


def test_the_search_finds_what_it_looks_for(codes: re.Pattern[str]) -> None:
    source = '"""CS1 in a docstring."""\na = f"CS1.{side}"\nb = "XS"'
    assert sorted(typed_codes(source, codes)) == ["CS1.", "XS"]


@pytest.mark.parametrize("role", Role)
def test_every_role_is_done_by_parts_the_demo_has(role: Role) -> None:
    own = roles.codes(role)
    assert own, "no family says which of its members this is"
    members = truck()[0].assembly.members
    assert role in STRIPS or any(
        roles.does(role, member.code) or member.family in own for member in members
    )


def test_a_tube_whose_steel_the_job_names_is_one_that_is_made() -> None:
    titles = {m.code.partition(".")[0]: m.title for m in truck()[0].assembly.members}
    assert [(tube.code, tube.called) for tube in roles.steels()] == [
        (tube.code, titles[tube.code]) for tube in roles.steels()
    ]
