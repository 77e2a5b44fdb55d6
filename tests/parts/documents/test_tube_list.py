"""The tube cut list says what its lengths are rounded to where the reader's tape has another step:
a sixteenth of an inch or a whole millimeter, as the cut files are.
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from papers import SHOP, made
from soapstone.layout.reader import System, reading_in
from soapstone.parts.documents.tube_list import tube_sheet


@pytest.mark.parametrize(
    ("reads", "unit", "says"),
    [
        (System.METRIC, "in", True),
        (System.METRIC, "mm", False),
        (System.INCH, "in", False),
    ],
)
def test_sixteenths_said_in_mm_are_told_as_that(reads: System, unit: str, says: bool) -> None:
    with reading_in(reads):
        doc = tube_sheet(replace(made(), shop=SHOP._replace(unit=unit)))
    assert ("whole sixteenths of an inch" in " ".join(doc.cautions)) == says
