"""A filled CSV as table programs save it in other countries: semicolons and decimal commas, tabs,
Excel's own first line. What cannot be told is refused, never taken for another number.

What the programs write: common practice, no source; each case was typed by hand.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.cells import lines_of
from soapstone.layout.job.taped import sheet_lines, taped_rows, taped_text

HEAD = "code,reading,where and how,state,unit,from,to,value,plus_minus,by,date,with"


@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_any_separator_gives_the_same_lines(sign: str, tmp_path: Path) -> None:
    file = tmp_path / "T1.csv"
    row = 'A-1,axle.wheel_track,"across, at the hub",,in,20,90,65 1/2,1/16,Al,2026-11-30,tape'
    commas = f"{HEAD}\r\n{row}\r\n"
    asked = lines_of(commas)
    text = sign.join(HEAD.split(",")) + "\r\n" + _again(row, sign) + "\r\n"
    file.write_bytes(text.encode("utf-8-sig"))
    assert sheet_lines(file, "a sheet", "none") == asked
    assert asked[0]["value"] == "65 1/2" and asked[0]["where and how"] == "across, at the hub"


def _again(row: str, sign: str) -> str:
    import csv
    import io

    out = io.StringIO()
    csv.writer(out, delimiter=sign, lineterminator="").writerow(next(csv.reader([row])))
    return out.getvalue()


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("12,5", "12.5"),
        ("-0,25 in", "-0.25 in"),
        ("1663,7 mm", "1663.7 mm"),
        ("8,25°", "8.25°"),
        ("1,2345", "1.2345"),
        ("1,234", "1,234"),
        ("1.234,5", "1.234,5"),
        ("1,2,3", "1,2,3"),
        ("65 1/2", "65 1/2"),
        ("left, upper", "left, upper"),
    ],
)
def test_a_decimal_comma_between_semicolons_is_a_point(typed: str, read: str) -> None:
    assert lines_of(f"reading;value\naxle.kpi;{typed}\n") == [
        {"reading": "axle.kpi", "value": read}
    ]


def test_a_comma_between_commas_stays_what_was_typed() -> None:
    assert lines_of('reading,value\naxle.kpi,"12,5"\n')[0]["value"] == "12,5"


def test_a_decimal_comma_that_moves_the_cells_is_refused(tmp_path: Path) -> None:
    """12,5 without quotes would be 12 with 5 as its plus-minus."""
    file = tmp_path / "T1.csv"
    file.write_text(f"{HEAD}\nA-1,axle.kpi,how,,deg,0,20,12,5,,Al,2026-11-30,tape\n")
    with pytest.raises(SoapstoneError) as refused:
        sheet_lines(file, "a sheet", "none")
    (fault,) = refused.value.faults
    assert "line 2" in str(fault) and "semicolons" in str(fault)


def test_excels_first_line_names_the_separator() -> None:
    assert lines_of("sep=;\r\nreading;value\r\naxle.kpi;8\r\n")[0]["reading"] == "axle.kpi"


def test_a_measuring_sheet_of_semicolons_is_taken(tmp_path: Path) -> None:
    file = tmp_path / "T1.csv"
    head = HEAD.replace(",", ";")
    line = "A-1;axle.wheel_track;how;;mm;500;2300;1663,7;0,8;Al;2026-11-30;tape"
    file.write_text(f"{head}\n{line}\n", encoding="utf-8-sig")
    row = taped_rows(taped_text(file, "", {}))["axle.wheel_track"]
    assert isinstance(row, dict) and (row["value"], row["plus_minus"]) == ("1663.7", "0.8")
