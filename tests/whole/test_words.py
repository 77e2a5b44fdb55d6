"""Words on paper and page: US shop words, no key or code of the model, sources somebody can find,
cautions where the step is, fonts embedded, headers of files.

What is held against something outside: 49 CFR 393.201(c)-(e), 29 CFR 1910.252(a)(2), (a)(3),
1910.244(a)(2) by number; fonts through another reader of PDFs.
"""

from __future__ import annotations

import io
import re

import pytest
from pypdf import PdfReader
from read_back import build, words_of
from soapstone.layout.reader import System
from soapstone.parts.words import cautions, names
from trucks import truck

BRITISH = re.compile(
    r"\b(tyres?|kerbs?|centre[sd]?|centring|judgement|calliper|gearbox|spanner|earth"
    r" clamp|set-out|gauges?|metres?|millimetres?|grey|colours?"
    r"|aluminium|labour|mould|odour|galvanised|programme|licence|cheeks?)\b",
    re.IGNORECASE,
)
KEYS = re.compile(
    r"\b[a-z_]+(\.[a-z_]+)*#\d|\b[A-Z]{2}\d+\.[LRC]\b|\brail\d\b|\b(front|rear)_end\b"
)
SNAKE = re.compile(r"(?<![\[\w.])[a-z]+_[a-z_]+\b(?!\.\w)")
SOURCES = re.compile(
    r"\bmemory\b|lecture|same slides|shop guide|course notes|summary of|\+-|plus-minus, "
)
FIELD = re.compile(
    r"\[+[a-z_.\[\]]+\]*|\b[a-z]+(_[a-z]+)*(\.[a-z_0-9]+)+\b|,"
    r" _[a-z]+|\bplus_minus\b|[a-z]+_class\b"
)
"""Names of fields and settings a person types back where a sheet says which reading or setting it
would be.
"""


def paper() -> dict[str, str]:
    return {
        p: words_of(p, d)
        for p, d in build(System.INCH).items()
        if p.endswith((".pdf", ".html")) and "/stage-" not in p
    }


def places(wrong: re.Pattern[str], *natural: re.Pattern[str]) -> list[str]:
    found = []
    for path, text in paper().items():
        left = text
        for allowed in natural:
            left = allowed.sub(" ", left)
        found += [
            f"{path}: {left[max(0, hit.start() - 40) : hit.end() + 20]}"
            for hit in wrong.finditer(left)
        ]
    return found


def test_us_shop_words() -> None:
    assert not places(BRITISH)


def test_no_key_of_the_model() -> None:
    assert not places(KEYS)


def test_no_word_of_a_program() -> None:
    assert not places(SNAKE, FIELD)


def test_sources_somebody_can_find() -> None:
    assert not places(SOURCES)


def test_every_font_is_embedded_and_the_header_is_ours() -> None:
    for path, data in build(System.INCH).items():
        if path.endswith(".pdf"):
            book = PdfReader(io.BytesIO(data))
            assert book.metadata is not None
            assert book.metadata.producer == "soapstone" and "DEMO1" in str(book.metadata.title), (
                path
            )
            for page in book.pages:
                for font in page["/Resources"].get("/Font", {}).values():
                    about = font.get_object().get("/FontDescriptor")
                    assert about is not None and "/FontFile2" in about.get_object(), path


def test_cut_files_and_drawings_have_only_their_layers() -> None:
    """In the text itself: a reader of the files may add the layer again."""
    for path, data in build(System.INCH).items():
        if path.endswith(".dxf"):
            assert b"defpoints" not in data.lower(), path


@pytest.mark.parametrize(
    ("sheet", "words"),
    [
        ("vehicle", "393.201(c)-(e)"),
        ("crossmember", "393.201(c)-(e)"),
        ("welds", "1910.252(a)(3)"),
        ("axle", "1910.252(a)(3)"),
        ("welds", "control units unplugged; airbag"),
        ("vehicle", "airbag"),
        ("welds", "chain or hold it"),
        ("bolts", "chain or hold it"),
        ("inspection", "isocyanates"),
        ("inspection", "leaks"),
        ("axle", "shaft tied up"),
        ("set-down", "Tacks hold twice"),
    ],
)
def test_cautions_stand_where_the_step_is(sheet: str, words: str) -> None:
    assert words in paper()[f"sheet/{sheet}.pdf"]


def test_battery_is_common_practice_and_hollow_spaces_are_the_rule() -> None:
    """1910.252(a)(2) is about fire, (a)(3) about hollow spaces; neither speaks of batteries."""
    assert "1910" not in cautions.BATTERY() and "common practice" in cautions.BATTERY()
    assert "1910.252(a)(3)" in cautions.HOLLOW()


def test_the_heat_treated_warning_stands_on_what_touches_the_rail_and_nowhere_else() -> None:
    t, _ = truck()
    touching = {
        p.id
        for p in t.parts
        for w in t.assembly.welds
        if p.id in (w.on, w.to) and "rail" in w.on + w.to
    }
    assert 3 < len(touching) < len(t.parts) / 2
    for p in t.parts:
        said = " ".join(cautions.of_part(p, t.assembly.welds))
        assert ("heat-treated" in said) == (p.id in touching), p.id


def test_one_name_for_a_part() -> None:
    t, _ = truck()
    called = [names.part(p.id) for p in t.singles]
    assert len(called) == len(set(called)) and not any(KEYS.search(c) for c in called)
