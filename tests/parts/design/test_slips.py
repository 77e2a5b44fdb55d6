"""Slips of the program are never told as a shop's: a family with a misspelt word ends with exit 1,
and every name that the code asks for is a field or a result.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
import soapstone.layout
from soapstone.cli import main
from soapstone.layout.job.field import pattern
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.load import OVERRIDES
from soapstone.layout.setout import names
from soapstone.layout.travel import KINDS
from soapstone.parts.design.site import Refused, SlipError
from soapstone.parts.documents import levels
from soapstone.parts.geometry.contours import circle
from soapstone.parts.model.assembly import Assembly, Bolt, Member, Scribe, Weld
from soapstone.parts.model.body import Plate
from soapstone.parts.model.family import Family, Variable
from soapstone.parts.model.terms import Level
from soapstone.parts.model.vectors import Frame
from soapstone.parts.pieces._from_stock import plate_keys_over
from soapstone.parts.stock import default_shop
from soapstone.parts.truck import truck
from trucks import DATA, job, solve

HERE = Frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


def plate(d: Any, **more: Any) -> Member:
    return Member("ZZ1", "toy", "ZZ", Plate(d["plate"], circle((0.0, 0.0), 100.0)), HERE, **more)


def toy(build: Callable[[Any, Any], Assembly], needs: tuple[str, ...] = ()) -> Family:
    variable = Variable("plate", "plate", plate_keys_over(0.2))
    return Family(
        "ZZ", "toy", "center", needs, (), (variable,), (), lambda v, s: v["plate.t"], build
    )


def asks(ask: Callable[[Any], Any]) -> Callable[[Any, Any], Assembly]:
    def build(d: Any, s: Any) -> Assembly:
        ask(s)
        return Assembly((plate(d),))

    return build


def bolt(duty: Any = "frame", hole: str = "close") -> Bolt:
    return Bolt("zz", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0), "1/2-13", "grade 8", ("ZZ1",), duty, hole)


def weld(**word: Any) -> Weld:
    return Weld("zz", "ZZ1", ("a",), "ZZ1", **{"kind": "fillet", "leg": 5.0, **word})


MISSPELT: dict[str, Callable[[Any, Any], Assembly]] = {
    "quantity": asks(lambda s: s.q("arms.tube_odd")),
    "side's quantity": asks(lambda s: s.pair("seat.uper.z")),
    "whether it is there": asks(lambda s: s.has("frame.corner_radios")),
    "word": asks(lambda s: s.word("frame.sektion")),
    "needed word": asks(lambda s: s.need("frame.sektion")),
    "force": asks(lambda s: s.force("jiont")),
    "key of the design": lambda d, s: Assembly((plate(d, moves={"x": (0.0, d["plat.t"])}),)),
    "stage": lambda d, s: Assembly((plate(d, fixed_after="setdown"),)),
    "direction": lambda d, s: Assembly((plate(d, moves={"up": (0.0, 1.0)}),)),
    "duty": lambda d, s: Assembly((plate(d),), (bolt("pivoted"),)),
    "fit": lambda d, s: Assembly((plate(d),), (bolt(hole="tight"),)),
    "kind of weld": lambda d, s: Assembly((plate(d),), (), (weld(kind="filet"),)),
    "face": lambda d, s: Assembly((plate(d),), (), (weld(face="under"),)),
    "care": lambda d, s: Assembly((plate(d),), (), (weld(care=frozenset({"after set-down"})),)),
    "role": lambda d, s: Assembly((plate(d),), scribes=(Scribe("ZZ1", "ridge", ()),)),
    "number of values": lambda d, s: Assembly((plate(d, moves=dict([(1, 2, 3)])),)),
    "division": lambda d, s: Assembly((plate(d, moves={"x": (0.0, 1 / (d["plate.t"] * 0))}),)),
}


def designed() -> truck.Truck:
    j = job()
    return truck.design(solve(j), j.words, {}, j.chassis, default_shop())


@pytest.mark.parametrize("what", MISSPELT)
def test_a_slip_of_a_family_is_nobodys_refusal(what: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(truck, "families", lambda: (("toy", toy(MISSPELT[what])),))
    with pytest.raises((SlipError, KeyError, ValueError, ZeroDivisionError)):
        designed()


def test_a_port_that_no_family_gives(monkeypatch: pytest.MonkeyPatch) -> None:
    family = toy(asks(lambda s: s.port("rail.coyl.side")))
    monkeypatch.setattr(truck, "families", lambda: (("toy", family),))
    with pytest.raises(SlipError, match=r"rail\.coyl\.side"):
        designed()


def test_a_refusal_is_kept_by_name_and_says_its_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    """The other way round: what is meant for people is not a slip."""

    def refuse(d: Any, s: Any) -> Assembly:
        raise Refused("there is no room for it")

    monkeypatch.setattr(truck, "families", lambda: (("toy", toy(refuse)),))
    assert designed().failed == {"toy ZZ.C": "there is no room for it"}


@pytest.mark.parametrize("what", ["quantity", "stage", "key of the design"])
def test_a_slip_ends_with_exit_1_and_one_line(
    what: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    monkeypatch.setattr(truck, "families", lambda: (("toy", toy(MISSPELT[what])),))
    monkeypatch.setattr("sys.argv", ["soapstone", "check", str(DATA / "demo.toml")])
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    with pytest.raises(SystemExit) as left:
        main.run()
    said = capsys.readouterr().err.strip()
    assert left.value.code == 1
    assert re.fullmatch(r"this is a bug of soapstone, not of your job; .*", said), said


def test_a_stage_of_a_sheet_that_nobody_knows() -> None:
    with pytest.raises(KeyError):
        levels.mark("Stage 9, paint", Level.TACK)


ROOT = Path(soapstone.layout.__file__).parents[1]
ASKING = {"q", "pair", "other", "word", "need", "has", "there"}
LABELS = {"shock.length"}
"""Written as keys, but never asked for: what a limit of the travel is told under."""
PLAIN = re.compile(r"[a-z_]+(\.[a-z_0-9]+)+")


def asked() -> Iterator[tuple[str, str]]:
    """Every whole name of a quantity or word written in the code: ``Key("...")`` and what a site is
    asked for.
    """
    for room in ("layout", "parts", "cli"):
        for path in sorted((ROOT / room).rglob("*.py")):
            for n in ast.walk(ast.parse(path.read_text())):
                if not isinstance(n, ast.Call) or not n.args:
                    continue
                f, first = n.func, n.args[0]
                site = isinstance(f, ast.Attribute) and f.attr in ASKING
                key = isinstance(f, ast.Name) and f.id == "Key"
                if (
                    (site or key)
                    and isinstance(first, ast.Constant)
                    and isinstance(first.value, str)
                ):
                    yield f"{room}/{path.name}:{n.lineno}", first.value


def test_every_name_the_code_asks_for_is_a_field_or_a_result() -> None:
    """A misspelt one would wait for a reading that does not exist."""
    known = {*FIELDS, *names(), *KINDS, *LABELS, *(f"override.{o}" for o in OVERRIDES)}
    rows = [(at, n) for at, n in asked() if PLAIN.fullmatch(n)]
    assert len(rows) > 300
    assert not [(at, n) for at, n in rows if n not in known and pattern(n) not in known]
