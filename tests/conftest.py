"""What every test starts from."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from soapstone.layout import reader


@pytest.fixture(autouse=True)
def _reader_put_back() -> Iterator[None]:
    """Whoever a test read for, the next one starts with a shop in inches."""
    with reader.reading_in(reader.System.INCH):
        yield
    reader.read_in(reader.System.INCH)
