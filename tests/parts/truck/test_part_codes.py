"""Codes of parts are the families' own: other rooms ask for a part by what it does."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from soapstone.parts.design import vocabulary
from soapstone.parts.design.site import SlipError
from soapstone.parts.model.assembly import Assembly
from soapstone.parts.model.body import Plate, Tube
from soapstone.parts.model.terms import Role
from soapstone.parts.truck import roles
from soapstone.parts.truck.truck import families
from soapstone.parts.verdict.judging import _first
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
    assert role in STRIPS or any(roles.does(role, member.code, member.family) for member in members)


def test_a_tube_whose_steel_the_job_names_is_one_that_is_made() -> None:
    titles = {m.code.partition(".")[0]: m.title for m in truck()[0].assembly.members}
    assert [(tube.code, tube.called) for tube in roles.steels()] == [
        (tube.code, titles[tube.code]) for tube in roles.steels()
    ]


def test_no_two_families_are_called_the_same_and_letters_are_shared_only_where_it_is_said() -> None:
    made_here = [f for _, f in families() if f.code not in roles.families_of(Role.TRUCK)]
    own = {family.code: family for family in made_here}
    assert len(own) == len(made_here) > 15
    assert {code: f.shares for code, f in own.items() if f.shares} == {"TA": "TB", "XJ": "XT"}
    for member in truck()[0].assembly.members:
        if member.family in own and isinstance(member.body, (Plate, Tube)):
            assert member.code.startswith(own[member.family].letters), member.code


def test_a_member_of_another_familys_name_or_letters_is_a_slip() -> None:
    made, _ = truck()
    gusset = next(m for m in made.assembly.members if m.family == "GU")
    family = dict(families())["brace_gusset"]
    assert vocabulary.checked(Assembly((gusset,)), family).members == (gusset,)
    for wrong in (gusset._replace(family="ZZ"), gusset._replace(code="ZZ1.L")):
        with pytest.raises(SlipError, match="ZZ"):
            vocabulary.checked(Assembly((wrong,)), family)


def test_a_row_of_a_family_is_said_of_a_part_it_makes() -> None:
    """The track bar's two ends share letters: a row of one was put on the other's first part."""
    made, _ = truck()
    for family in ("TA", "TB", "XJ"):
        for side in {part.id[-1] for part in made.singles if part.member.family == family}:
            first = _first(made, f"{family}.{side}")
            assert {m.code: m.family for m in made.assembly.members}[first] == family
