"""Tables with their sources."""

from __future__ import annotations

import pytest
from typed import soapstone


@pytest.mark.parametrize("table", ["plates", "tubes", "bolts", "steels", "drills", "settings"])
def test_rack_prints_tables_with_sources(table: str) -> None:
    got = soapstone("rack", table)
    assert got.returncode == 0 and got.stdout.strip()
    if table in ("plates", "tubes"):
        assert all("[" in line for line in got.stdout.splitlines())
