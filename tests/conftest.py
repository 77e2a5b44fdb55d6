"""What every test starts from."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Iterator

import pytest
from soapstone.layout import reader

SHARED = "SOAPSTONE_TESTS_CACHE"


def pytest_configure(config: pytest.Config) -> None:
    """No cache but the run's own, which commands in processes of their own and jobs built whole
    share (``helpers/shared.py``); what a test puts in place of a function is never kept.
    """
    os.environ["SOAPSTONE_CACHE"] = "off"
    if not hasattr(config, "workerinput"):
        os.environ[SHARED] = tempfile.mkdtemp(prefix="soapstone-tests-")


def pytest_unconfigure(config: pytest.Config) -> None:
    if not hasattr(config, "workerinput"):
        shutil.rmtree(os.environ.pop(SHARED), ignore_errors=True)


@pytest.fixture(autouse=True)
def _reader_put_back() -> Iterator[None]:
    """Whoever a test read for, the next one starts with a shop in inches."""
    with reader.reading_in(reader.System.INCH):
        yield
    reader.read_in(reader.System.INCH)
