"""Every example in a docstring runs and prints what it says."""

from __future__ import annotations

import doctest
import importlib
import re
from pathlib import Path

import pytest
import soapstone.parts

ROOT = Path(soapstone.parts.__path__[0]).parent
PROMPT = re.compile(r"^\s*>>> ", re.MULTILINE)


def modules_with_examples() -> list[str]:
    """Names of the modules of the tool whose text has an example."""
    return [
        ".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__")
        for room in ("layout", "parts", "cli")
        for path in sorted((ROOT / room).rglob("*.py"))
        if PROMPT.search(path.read_text(encoding="utf-8"))
    ]


@pytest.mark.parametrize("name", modules_with_examples())
def test_examples_run(name: str) -> None:
    """What the finder sees is what stands in the text: none is lost behind a decorator."""
    module = importlib.import_module(f"soapstone.{name}")
    written = len(PROMPT.findall(Path(module.__file__ or "").read_text(encoding="utf-8")))
    got = doctest.testmod(module)
    assert got.failed == 0
    assert got.attempted == written


@pytest.mark.parametrize(
    "name",
    (
        "parts.geometry.contours",
        "parts.geometry.outline",
        "parts.geometry.bend",
        "parts.design.finish",
        "parts.rules.clause",
    ),
)
def test_what_is_not_plain_has_an_example(name: str) -> None:
    assert name in modules_with_examples()
