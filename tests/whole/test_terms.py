"""Sheets and pages in Australian and British words of the trade: every word of the table,
everywhere, and nothing else; numbers, files to cut and what was typed stay.

Which words: the trade reference's glossary; spelling by common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import pytest
from built_jobs import made
from designs import designed_of, written
from read_back import words_of
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.reader import speaking
from soapstone.parts.stock import default_shop, shop_file
from soapstone.parts.stock.shop_file import load_shop
from soapstone.parts.words.terms import AU, TERMS, spoken
from trucks import job

_AMERICAN = "|".join(sorted(map(re.escape, AU), key=len, reverse=True))
SAID = re.compile(rf"(?<![\w./\[])(?:{_AMERICAN})(?![\w/]|\.\w)", re.IGNORECASE)
BOTH = {"bush", "gauge"}
"""Words of the table's other side that a US shop says too."""
OTHER = re.compile(rf"\b(?:{'|'.join(sorted({*AU.values()} - BOTH))})\b", re.IGNORECASE)
NUMBER = re.compile(r"\d[\d./]*")


@cache
def files(terms: str) -> Mapping[str, bytes]:
    if terms == "US":
        return made("demo").files
    with speaking(terms):
        return written(designed_of(job("demo"), default_shop()))


@pytest.mark.long
def test_every_word_on_paper_and_page_is_said_the_other_way_and_no_number_moves() -> None:
    us, au = files("US"), files("AU")
    assert us.keys() == au.keys()
    told = 0
    for path, data in us.items():
        if not path.endswith((".pdf", ".html")):
            drawn = path.endswith((".xlsx", "-drawing-in.dxf")) or path == "manifest.json"
            assert drawn or au[path] == data, f"{path}: data has the words it always had"
            continue
        one, two = words_of(path, data), words_of(path, au[path])
        assert not OTHER.search(one), (path, OTHER.search(one))
        assert not SAID.search(two), (path, SAID.search(two))
        assert sorted(NUMBER.findall(one)) == sorted(NUMBER.findall(two)), path
        told += len(SAID.findall(one))
    assert told > 1000
    assert all(
        word in words_of("index.html", au["index.html"]) for word in ("tyre", "chassis rail")
    )


def test_words_are_said_whole_in_their_case_and_once() -> None:
    with speaking("AU", ["J. Tire", "new center"]):
        for word, said in AU.items():
            assert spoken(f"the {word}, 2") == f"the {said}, 2"
            assert spoken(word.capitalize()) == said[0].upper() + said[1:]
            assert spoken(word.upper()) == said.upper()
            assert spoken(spoken(word)) == said
        for typed in (
            "axle.tire_diameter",
            "[pin.transmission_pad]",
            "sheet/assembly-crossmember-center.pdf",
            "travel.obstacle.1.center.x",
            "by J. Tire, for a new center",
            "Retired, entire, ambush",
        ):
            assert spoken(typed) == typed
    assert all(spoken(word) == word for word in AU)


def test_the_shop_chooses_its_words(tmp_path: Path) -> None:
    path = tmp_path / "shop.toml"
    assert tuple(TERMS) == shop_file.TERMS
    for terms in TERMS:
        path.write_text(f'[paper]\nterms = "{terms}"\n')
        assert load_shop(path).terms == terms
    path.write_text('[paper]\nterms = "UK"\n')
    with pytest.raises(SoapstoneError) as refused:
        load_shop(path)
    assert "US | AU" in str(refused.value.faults[0])
