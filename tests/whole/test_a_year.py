"""The year of a truck, played with commands and files alone: survey, first plates, the rest,
mock-up, set-down, correction, weld, log, final, a second truck, a bent bracket a year later. What
is typed is what the command before said to type, or what a form asked for.
"""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest
from forms import filled
from soapstone.parts.truck.needs import tables
from typed import soapstone

WHO = ("--by", "the owner", "--date", "2026-02-01")


class Shop:
    """A folder, and the commands typed in it; each must end with the code it says."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def types(self, *words: str, code: int = 0) -> str:
        got = soapstone(*words, cwd=self.folder)
        said = got.stdout + got.stderr
        assert got.returncode == code, (words, got.returncode, said[-3000:])
        assert "Traceback" not in said and "this is a bug" not in said, said
        return said

    def fills(self, name: str) -> list[str]:
        path = self.folder / name
        text, typed = filled(path.read_text(), tables("demo"))
        path.write_text(text)
        return typed


def holes() -> str:
    """The old holes, a row each, as the form shows one."""
    rows = []
    for hole in tables("demo")["frame"]["hole"]:
        lines = [f'{word} = "{value}"' for word, value in hole.items()]
        rows.append("\n".join(["[[frame.hole]]", *lines, ""]))
    return "\n".join(rows)


def needed(text: str) -> str:
    """A set-down file in which every reading is the one needed."""
    return re.sub(r'= ""(   # [^;]*; needed (-?[^,]+),)', r'= "\2"\1', text)


@pytest.mark.long
def test_a_year_has_no_dead_end(tmp_path: Path) -> None:
    shop = Shop(tmp_path)
    surveyed(shop)
    built_and_set_down(shop)
    accept = [
        word
        for subject in ("gaps", "confirm", "assumed")
        for word in ("--accept", f"{subject}=looked at on the stands: it stays as it is drawn")
    ]
    # what was read at the set-down is released with it, as the screen says
    shop.types("build", "T1.toml")
    shop.types("release", "T1.toml", "--level", "weld", "--note", "stands right", *WHO, *accept)
    log_and_sign(shop)
    second_truck(shop)
    # a year later: a bent bracket, and where its steel came from
    assert "good revision" in shop.types("reissue", "T1", "B", "--part", "CM2")
    assert len(list((tmp_path / "out/T1/B-CM2").rglob("*.dxf"))) >= 2
    assert "T1" in shop.types("trace", "H-1")
    assert "CM2" in shop.types("explain", "T1.toml", "CM2")
    shop.types("verify")


def surveyed(shop: Shop) -> None:
    """The survey: the first plates from the short form, then what the screen says, step by step."""
    assert "readings T1.toml" in shop.types("new", "T1")
    shop.fills("T1.toml")
    assert "soapstone build T1.toml" in shop.types("readings", "T1.toml", code=4)
    assert "cut now, cut/now: 5 files" in shop.types("build", "T1.toml", code=4)
    # further readings, a step after the other, as the screen says
    for _ in range(20):
        said = shop.types("readings", "T1.toml", code=4)
        asked = re.search(r"soapstone readings T1.toml --add (\w+)", said)
        assert asked, said
        shop.types("readings", "T1.toml", "--add", asked[1])
        shop.fills("T1.toml")
        if soapstone("readings", "T1.toml", cwd=shop.folder).returncode == 0:
            break
    shop.types("readings", "T1.toml", "--add", "all")
    shop.fills("T1.toml")
    job = shop.folder / "T1.toml"
    job.write_text(job.read_text().replace("#[[frame.hole]]", f"{holes()}\n#[[frame.hole]]", 1))


def built_and_set_down(shop: Shop) -> None:
    """Cut, mocked up, tacked, set down: too low on the left, then right."""
    shop.types("build", "T1.toml")
    shop.types("release", "T1.toml", "--level", "mock-up", "--note", "to tack up", *WHO)
    shop.types("correct", "T1.toml", "--blank")
    down = shop.folder / "T1.down.toml"
    right = needed(down.read_text())
    assert '= ""' not in right.partition("# [[down]]")[0]
    low = re.sub(r'"height.left" = "[^"]*"', '"height.left" = "24 1/2"', right)
    down.write_text(low)
    assert "left" in shop.types("correct", "T1.toml", code=6)
    down.write_text(right)
    shop.types("correct", "T1.toml")
    shop.types("sign", "T1", "A", "--level", "tack", *WHO)


def log_and_sign(shop: Shop) -> None:
    """The log filled at the truck and taken back, heats, final, and a page for the customer."""
    shop.types("enter", "T1", "B", "--blank", "log.csv")
    path = shop.folder / "log.csv"
    lines = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    for line in lines:
        line |= {"found": found(line), "by": "the owner", "date": "2026-02-20"}
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)
    shop.types("enter", "T1", "B", "--log", "log.csv")
    shop.types("enter", "T1", "B", "--sheet", "1/4 A36", "--heat", "H-1", *WHO)
    shop.types("sign", "T1", "B", "--level", "final", *WHO)
    shop.types("export", "T1", "T1.html", "--read-only")
    page = (shop.folder / "T1.html").read_text()
    assert "data:application/pdf" in page and "cut/now" not in page


def found(line: dict[str, str]) -> str:
    """What is written beside a line of the log."""
    return {"weld": "ok", "bolt": "70 lbf*ft"}.get(line["sheet"], line["wanted"] or "ok")


def second_truck(shop: Shop) -> None:
    """One like the first: its fifteen readings are the first's."""
    shop.types("new", "T2", "--like", "T1:B")
    path = shop.folder / "T2.survey.csv"
    lines = list(csv.DictReader(path.read_text(encoding="utf-8-sig").splitlines()))
    for line in lines:
        line["value"] = line["master"]
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, list(lines[0]))
        writer.writeheader()
        writer.writerows(lines)
    assert "same" in shop.types("survey", "T2.toml")
