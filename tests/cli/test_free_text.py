"""Text that people type freely: signs that do not print, turns of the writing, what a table program
would work out.
"""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from soapstone.cli.archive.acceptance import good_reason
from soapstone.cli.archive.signature import Signer
from soapstone.cli.building.text import csv_bytes
from soapstone.layout.faults import Exit, Fault, SoapstoneError
from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.sheet import sheet_csv, sheet_rows
from soapstone.layout.job.taped import sheet_lines, taped_text
from soapstone.layout.job_file import load
from typed import DEMO

UNSEEN = ["a\nb", "tab\there", "\x1b[2Jgone", "\u202egnol", "zero\u200bwidth", "\u2028line", "\x00"]
"""A line end, a tab, a console's own order, the turns and breaks of Unicode (categories Cc, Cf, Zl
of the Unicode Character Database), a zero byte.
"""


@pytest.mark.parametrize("text", UNSEEN)
def test_no_line_takes_what_does_not_print(text: str) -> None:
    assert not good_reason(text)
    for signer in (Signer(text, "2026-02-01", "a note"), Signer("the owner", "2026-02-01", text)):
        said = [str(fault) for fault in signer.faults()]
        assert len(said) == 1 and said[0].isprintable()
    assert not Signer("the owner's ñ-Å-ł", "2026-02-01", "3/8 × 2 ± 1/16").faults()


@pytest.mark.parametrize("text", UNSEEN)
def test_no_field_of_words_takes_what_does_not_print(text: str, tmp_path: Path) -> None:
    """Every field of free text, and who read a reading."""
    escaped = "".join(f"\\u{ord(sign):04X}" for sign in text)
    free = [name for name, field in FIELDS.items() if field.kind == "text" and "*" not in name]
    assert "job.note" in free
    job = tmp_path / "job.toml"
    for name in free:
        table, _, key = name.rpartition(".")
        lines = [
            f'{key} = "{escaped}"' if line.startswith(f"{key} =") and now == table else line
            for line, now in _with_tables(DEMO.read_text().splitlines())
        ]
        if lines == DEMO.read_text().splitlines():
            lines += [f"[{table}]"] if f"[{table}]" not in lines else []
            lines.insert(lines.index(f"[{table}]") + 1, f'{key} = "{escaped}"')
        job.write_text("\n".join(lines))
        _refused(job, name)
    job.write_text(
        DEMO.read_text().replace("rate = 225", f'rate = {{ value = 225, by = "{escaped}" }}', 1)
    )
    _refused(job, "spring.rate by")


def _with_tables(lines: list[str]) -> list[tuple[str, str]]:
    """Every line with the table it stands in."""
    found, table = [], ""
    for line in lines:
        table = line.strip("[] ") if line.startswith("[") else table
        found.append((line, table))
    return found


def _refused(job: Path, name: str) -> None:
    with pytest.raises(SoapstoneError) as refused:
        load(job)
    assert refused.value.code is Exit.JOB_FILE
    said = [str(fault) for fault in refused.value.faults]
    assert any(line.startswith(name) for line in said), (name, said)
    assert all(line.isprintable() for line in said)


def test_a_fault_never_prints_what_does_not_print() -> None:
    assert str(Fault("\x1b[2Jno", "\u202e", "a line", "type it")).isprintable()


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("=1+1", "'=1+1"),
        ("@name", "'@name"),
        ("+1-cmd|' /C calc'!A0", "'+1-cmd|' /C calc'!A0"),
        ("-2+3", "'-2+3"),
        ("-1/4", "-1/4"),
        ("-12.5", "-12.5"),
        ("+0.25 in", "+0.25 in"),
        ("- 3 1/2", "- 3 1/2"),
        ("brake line", "brake line"),
        (-3.5, "-3.5"),
    ],
)
def test_a_table_program_shows_a_name_and_never_works_it_out(text: str | float, shown: str) -> None:
    """A cell that begins with = + - @ or a tab is worked out by table programs (OWASP, CSV
    Injection, from memory); a number keeps its sign.
    """
    rows = csv.reader(io.StringIO(csv_bytes([{"name": text}], ("name",)).decode()))
    assert list(rows)[1] == [shown]


def test_a_measuring_sheet_shows_a_name_and_takes_it_back_as_it_was(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(DEMO.read_text().replace('name = "oil pan"', 'name = "=1+1"'))
    sheet = tmp_path / "sheet.csv"
    sheet.write_bytes(sheet_csv(sheet_rows(load(job))))
    assert "'=1+1" in sheet.read_text(encoding="utf-8-sig")
    (line,) = [r for r in sheet_lines(sheet, "", "") if r["reading"] == "travel.obstacle.1.name"]
    assert line["value"] == "=1+1"
    known = {"travel.obstacle.1.name": "=1+1"}
    assert "obstacle.1.name" not in taped_text(sheet, "", known), "it was said before"
