"""The cache all processes of one run of the tests share."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager

import pytest


def shared() -> Mapping[str, str]:
    """The environment of a command that uses it."""
    return {**os.environ, "SOAPSTONE_CACHE": os.environ.get("SOAPSTONE_TESTS_CACHE", "off")}


@contextmanager
def sharing() -> Iterator[None]:
    """It is used within, in this process; nothing may be patched meanwhile."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("SOAPSTONE_CACHE", shared()["SOAPSTONE_CACHE"])
        yield
