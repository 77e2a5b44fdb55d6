"""A reading that stands twice on a sheet with two values is asked about: neither is dropped unsaid,
as where two who measured had their sheets put together.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.taped import taped_rows, taped_text

HEAD = "reading,value\n"


def test_two_values_of_one_reading_are_a_fault_with_both_lines(tmp_path: Path) -> None:
    sheet = tmp_path / "s.csv"
    sheet.write_text(f"{HEAD}arms.joint_behind,40\naxle.kpi,8\narms.joint_behind,41\n")
    with pytest.raises(SoapstoneError) as e:
        taped_text(sheet, "", {"arms.joint_behind": "40"})
    (fault,) = e.value.faults
    assert str(fault).startswith("line 4 arms.joint_behind; typed '41'; allowed: one value")
    assert "line 2 says 40" in str(fault)


def test_the_same_value_twice_and_an_empty_line_are_none(tmp_path: Path) -> None:
    sheet = tmp_path / "s.csv"
    sheet.write_text(f"{HEAD}axle.kpi,8\naxle.kpi,\naxle.kpi,8\n")
    assert taped_rows(taped_text(sheet, "", {})) == {"axle.kpi": "8"}


def test_a_sheet_saved_in_another_writing_is_told_in_plain_words(tmp_path: Path) -> None:
    sheet = tmp_path / "s.csv"
    sheet.write_bytes(f"{HEAD}axle.kpi,8\n".encode("utf-16"))
    with pytest.raises(SoapstoneError) as e:
        taped_text(sheet, "", {})
    said = str(e.value.faults[0])
    assert "it is no plain text" in said and "save it as CSV UTF-8" in said
    assert "codec" not in said and "(CSV) (CSV)" not in said
