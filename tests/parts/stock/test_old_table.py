"""A table of R12 is told nothing by the screen that its file does not need."""

from __future__ import annotations

import subprocess
import sys

SAYS = """
from soapstone.parts.export.cut import dxf_text
from soapstone.parts.stock import default_shop
assert dxf_text([], default_shop()._replace(dxf="R12", unit="mm"))
"""


def test_no_word_of_a_library_stands_on_the_screen() -> None:
    done = subprocess.run([sys.executable, "-c", SAYS], capture_output=True, check=True)
    assert done.stderr == b"" == done.stdout
