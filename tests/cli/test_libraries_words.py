"""No word of a library stands on the screen: of a table of R12, of a file that is no solid."""

from __future__ import annotations

import subprocess
import sys

import pytest

SAYS = {
    "R12": """
from soapstone.parts.export.cut import dxf_text
from soapstone.parts.stock import default_shop
assert dxf_text([], default_shop()._replace(dxf="R12", unit="mm"))
""",
    "no STEP": """
from soapstone.parts.export.step_read import shape_of
assert shape_of(b"junk") is None
""",
}


@pytest.mark.parametrize("what", SAYS)
def test_no_word_of_a_library_stands_on_the_screen(what: str) -> None:
    done = subprocess.run([sys.executable, "-c", SAYS[what]], capture_output=True, check=True)
    assert done.stderr == b"" == done.stdout
