"""The page of a chassis: self-contained under its own content policy, with everything of the truck
on it, and in headless Chromium on a phone of 390 x 844: by touch, by keys, in the dark, on paper.
"""

from __future__ import annotations

import base64
import csv
import hashlib
import html
import io
import json
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from browser import CHROMIUM, PHONE, Browser, Tab, browser
from soapstone.cli.archive.read_only import read_only
from soapstone.cli.archive.remarks import with_remarks
from trucks import job
from typed import soapstone

in_hand = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")
SEEN = (Path(__file__).parent / "seen.js").read_text(encoding="utf-8")
LONGEST = 6000
"""Pixels the folded page may be long on a phone."""
TARGET = 44
"""Pixels a thing to touch is wide and high at least: WCAG 2.2, 2.5.5."""
CONTRAST = 4.5
"""Of text against what is behind it at least: WCAG 2.2, 1.4.3."""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("page")
    got = soapstone("demo", "--out", str(out))
    assert got.returncode == 0, got.stderr
    return out / "DEMO1" / "draft" / "index.html"


def test_one_file_under_its_own_policy(page: Path) -> None:
    text = page.read_text()
    assert len(text.encode()) <= 1_500_000
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', text).group(1)
    assert "default-src 'none'" in policy and "unsafe" not in policy
    for tag in ("style", "script"):
        inside = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.S)
        assert len(inside) == 1
        assert (
            f"'sha256-{base64.b64encode(hashlib.sha256(inside[0].encode()).digest()).decode()}'"
            in policy
        ), tag
    assert (
        not re.search(r'(src|href)="(https?:|//)', text)
        and " style=" not in text
        and " onclick" not in text
    )


def test_links_lead_to_files_that_are_there(page: Path) -> None:
    links = [x for x in re.findall(r'href="([^"#][^"]*)"', page.read_text())]
    assert len(links) > 100 and all((page.parent / x).is_file() for x in links), [
        x for x in links if not (page.parent / x).is_file()
    ][:3]


def test_words_a_screen_reader_needs(page: Path) -> None:
    text = page.read_text()
    assert (
        'lang="en"' in text
        and 'aria-live="polite"' in text
        and text.count('role="img"') > 50
        and "not an approval" in text
    )
    assert len(re.findall(r'<canvas[^>]*tabindex="0"[^>]*aria-label', text)) == 1


def _numbers(page: Path, kind: str) -> list[str]:
    """First column of a schedule of the same build."""
    with (page.parent / f"schedule/{kind}.csv").open(newline="") as file:
        return [row[0] for row in csv.reader(file)][1:]


def _under(text: str, name: str) -> str:
    """What stands in one fold of the page."""
    return re.split(r'<details class="fold" id="', text.split(f' id="{name}"', 1)[1], maxsplit=1)[0]


def test_nothing_of_the_truck_is_left_off(page: Path) -> None:
    """Every part, weld, bolt and result by what other files of the build list, every reading by the
    job itself; each once.
    """
    text = page.read_text()
    manifest = json.loads((page.parent / "manifest.json").read_text())
    places = [place for part in manifest["parts"] for place in part["places"]]
    also = re.findall(r'class="card hit" data-also="([^"]*)"', _under(text, "parts"))
    assert sorted(" ".join(also).split()) == sorted(places)
    for kind in ("welds", "bolts"):
        heads = re.findall(r'<li class="hit"[^>]*><b>(.*?)</b>', _under(text, kind))
        assert sorted(heads) == sorted(_numbers(page, kind)) and heads, kind
    results = json.loads((page.parent / "setout.json").read_text())
    assert _under(text, "setout").count('class="hit"') == len(results) > 100
    names = {key.name for key in job("demo").readings}
    assert _under(text, "readings").count('class="hit"') == len(names) > 100


def test_what_a_group_counts_is_in_it(page: Path) -> None:
    text = page.read_text()
    for name in ("parts", "welds", "bolts", "checks"):
        groups = _under(text, name).split('<details class="fold"><summary><h3>')[1:]
        assert groups, name
        for each in groups:
            count = re.search(r'<span class="count">(\d+)</span>', each)
            assert count and int(count[1]) == len(re.findall(r'class="(?:card )?hit"', each)), each[
                :60
            ]


def test_what_is_assumed_stands_once_with_every_part_that_rests_on_it(page: Path) -> None:
    """Against the build's own verdict.json: all findings of that verdict, their reasons word by
    word, and none of the sentences a second time.
    """
    found = json.loads((page.parent / "verdict.json").read_text())["findings"]
    rests = [row for row in found if row["verdict"] == "assumed"]
    text = page.read_text().split("Rests on what is assumed</h3>")[1].split("<details")[0]
    whole = [row["title"] for row in rests if row["kind"] == "truck"]
    rows = [html.unescape(row) for row in re.findall(r"<li>(.*?)</li>", text)]
    assert len(rows) == len(whole) > 5
    assert len({row.partition("</b>")[0] for row in rows}) == len(rows)
    heads = [re.sub(r"<.*", "", row.removeprefix("<b>")) for row in rows]
    for title in whole:
        own = [row for row, head in zip(rows, heads, strict=True) if title.startswith(head)]
        assert len(own) == 1, title
        on = own[0].partition("Parts that rest on it: ")[2].partition("<")[0]
        parts = [row["id"] for row in rests if row["kind"] == "part" and title in row["reason"]]
        said = {
            f"{code}.{side[0].upper()}"
            for code, sides in re.findall(r"(\w+\d)((?: (?:and )?(?:left|right))*)", on)
            for side in sides.replace("and ", "").split() or "C"
        }
        assert said == set(parts), title


def test_headings_in_order_and_no_column_without_a_head(page: Path) -> None:
    """A heading is at most one order below the one before (WCAG 2.2, technique G141)."""
    text = page.read_text()
    orders = [1, *(int(order) for order in re.findall(r"<h([1-6])[ >]", text))]
    assert len(orders) > 50 and all(below <= above + 1 for above, below in pairwise(orders))
    assert orders.count(1) == 2 and not re.search(r"<th[^>]*>\s*</th>", text)
    assert all(
        'tabindex="0"' in figure and "aria-label=" in figure
        for figure in re.findall(r'<div class="figure"[^>]*>', text)
    )


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    with browser(tmp_path_factory.mktemp("browser"), drawn=True) as one:
        yield one


@pytest.fixture(scope="module")
def phone(opened: Browser, page: Path) -> Tab:
    return opened.tab(page.as_uri())


def again(tab: Tab) -> None:
    """The page as it opens, in front, with what tests ask of it."""
    tab.to_front()
    tab.reload()
    tab.run(f"{SEEN}; window.seen = seen; 0")


def found(tab: Tab, *words: str) -> list[tuple[list[list[str]], str]]:
    """What is left in sight for each search, and what is said of it."""
    rows: list[Any] = tab.run(f"seen.search({json.dumps(words)})")
    return [(hits, said) for hits, said in rows]


@in_hand
def test_it_fits_a_phone(phone: Tab) -> None:
    again(phone)
    for shown in (True, False):
        phone.run(f"seen.fold({json.dumps(shown)})")
        small = phone.run(f"seen.small({TARGET})")
        long, wide = phone.run("seen.size()")
        assert not small, (shown, small)
        assert wide <= PHONE[0], shown
        assert shown or long < LONGEST, long
    assert not phone.complaints()


@in_hand
def test_a_copy_to_look_at_with_its_remarks_fits_a_phone(
    opened: Browser, page: Path, tmp_path: Path
) -> None:
    record = SimpleNamespace(
        chassis="T1", letter="A", data={"parts": [{"part": "CS1.L"}]}, welds=lambda: ["W1"]
    )
    copy = read_only({"index.html": page.read_bytes()}, "revision A, nothing to cut from").decode()
    (tmp_path / "A.html").write_text(with_remarks(copy, record))
    tab = opened.tab((tmp_path / "A.html").as_uri())
    again(tab)
    tab.run("seen.fold(true)")
    assert tab.run("seen.size()")[1] <= PHONE[0] and not tab.run(f"seen.small({TARGET})")
    assert not tab.complaints()


@in_hand
def test_one_fold_is_open_at_first_what_matters(phone: Tab) -> None:
    again(phone)
    assert phone.run("seen.open()") == ["findings"]


@in_hand
def test_a_search_finds_every_part_weld_and_bolt_and_says_how_many(phone: Tab, page: Path) -> None:
    """By the model's own id and as people say it; a weld's number finds no other weld."""
    again(phone)
    manifest = json.loads((page.parent / "manifest.json").read_text())
    places = [place for part in manifest["parts"] for place in part["places"]]
    for place, (hits, said) in zip(places, found(phone, *places), strict=True):
        assert any(place in also.split() for also, _ in hits), place
        assert said.startswith(f"{len(hits)} found"), (place, said)
    for typed in ("CM2 left", "cm2 LEFT", " cm2,left "):
        ((hits, _),) = found(phone, typed)
        assert any(also == "CM2.L" for also, _ in hits), typed
    text = page.read_text()
    numbers = re.findall(r"<b>([WB]\d+)</b>", text)
    for number, (hits, _) in zip(numbers, found(phone, *numbers), strict=True):
        assert [head for _, head in hits if re.fullmatch(r"[WB]\d+", head)] == [number]
    codes = set(re.findall(r"<b>([A-Z]-\d+)</b>", text))
    for code, (hits, _) in zip(sorted(codes), found(phone, *sorted(codes)), strict=True):
        assert code in [head for _, head in hits], code


@in_hand
def test_a_search_for_nothing_there_says_so_and_an_empty_one_puts_all_back(phone: Tab) -> None:
    again(phone)
    before = phone.run("seen.folds()")
    counts = phone.run("document.querySelector('main').innerText")
    ((hits, said),) = found(phone, "zebra")
    assert not hits and said.startswith("Nothing found")
    ((hits, said),) = found(phone, "")
    assert said == "" and phone.run("document.querySelector('main').innerText") == counts
    assert phone.run("seen.folds()") == before


@in_hand
def test_by_keys_alone(phone: Tab) -> None:
    """Past the fold of cautions: find a part, go to it, show it on the truck, turn the truck, fold
    everything away.
    """
    again(phone)
    phone.presses("Tab")
    assert phone.run("document.activeElement.parentElement.id") == "first"
    phone.presses("Tab")
    assert phone.run("document.activeElement.id") == "find"
    phone.types("CM2 left")
    phone.presses("Enter")
    assert phone.run("document.activeElement.dataset.also") == "CM2.L"
    for _ in range(9):
        phone.presses("Tab")
        if phone.run("document.activeElement.dataset.show === 'CM2.L'"):
            break
    phone.presses("Enter")
    assert phone.run("document.activeElement.id") == "truck"
    phone.until("document.getElementById('said').textContent.startsWith('CM2 left')")
    was = phone.run("document.getElementById('truck').toDataURL()")
    phone.presses("ArrowLeft")
    assert phone.run("document.getElementById('truck').toDataURL()") != was
    phone.run("document.getElementById('find').focus()")
    phone.presses("Escape")
    assert phone.run("document.querySelectorAll('.hit[hidden]').length") == 0
    phone.run("document.querySelector('#parts summary').focus()")
    phone.presses("Enter")
    assert phone.run("document.getElementById('parts').open")
    assert not phone.complaints()


@in_hand
@pytest.mark.parametrize("side", ["", "left", "ahead", "above"])
def test_the_truck_fills_its_canvas(phone: Tab, side: str) -> None:
    """Made parts (green) and the truck's own (gray) reach across one way of it at least."""
    again(phone)
    if side:
        phone.run(f"document.querySelector('[data-act={side}]').click()")
    seen = phone.run("seen.drawn()")
    assert 0.9 < max(seen["wide"], seen["high"]) < 1.0, seen
    assert seen["made"] > 800 and seen["truck"] > 800, seen


@in_hand
@pytest.mark.parametrize("side", ["ahead", "above", "left"])
def test_left_is_left(phone: Tab, side: str) -> None:
    """Whoever stands ahead of a truck and faces it has its left side at the right hand; from above,
    front to the right, its left is up, as on the plan; from its left side the front is at the left
    hand and the left parts hide the right ones (plain geometry, ISO 8855 axes).
    """
    again(phone)
    phone.run(f"document.querySelector('[data-act={side}]').click()")
    places = ("AR1.L", "AR1.R", "CM4.L", "XP1.C")
    left, right, ahead, behind = (phone.run(f"seen.place('{place}')") for place in places)
    if side == "ahead":
        assert left[0] > right[0] + 0.2
    elif side == "above":
        assert left[1] < right[1] - 0.2 and ahead[0] > behind[0] + 0.2
    else:
        assert ahead[0] < behind[0] - 0.2 and left[2] > 2 * right[2]


def _light(color: list[float]) -> float:
    """Relative luminance, WCAG 2.2."""
    rows = [x / 255 for x in color]
    r, g, b = (x / 12.92 if x <= 0.04045 else ((x + 0.055) / 1.055) ** 2.4 for x in rows)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one: list[float], other: list[float]) -> float:
    """As WCAG 2.2 defines it."""
    low, high = sorted((_light(one), _light(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_contrast_is_worked_as_its_standard_says() -> None:
    """Black on white 21, and the gray #767676 just over 4.5 (WCAG 2.2, Understanding 1.4.3)."""
    assert contrast([0, 0, 0], [255, 255, 255]) == pytest.approx(21)
    assert contrast([0x76] * 3, [255] * 3) == pytest.approx(4.54, abs=0.005)


@in_hand
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_every_text_can_be_read(phone: Tab, scheme: str) -> None:
    phone.lit(scheme)
    again(phone)
    phone.run("seen.fold(true)")
    pairs = {(tuple(ink), tuple(back)) for ink, back in phone.run("seen.inks()")}
    backs = [sum(back) for _, back in pairs]
    assert len(pairs) > 5 and (max(backs) < 300 if scheme == "dark" else min(backs) > 600)
    low = [pair for pair in pairs if contrast([*pair[0]], [*pair[1]]) < CONTRAST]
    phone.lit("light")
    assert not low


@in_hand
def test_paper_has_the_truck_and_everything_that_was_folded(phone: Tab, page: Path) -> None:
    """Read back by pypdf: a picture on the first page, every weld, bolt and part in the text."""
    from pypdf import PdfReader

    again(phone)
    folded = phone.run("document.querySelectorAll('details[open]').length")
    sheets = PdfReader(io.BytesIO(phone.printed())).pages
    picture = sheets[0].images[0].image.convert("RGB")
    colors = picture.resize((160, 100)).getcolors(16_000)
    green = sum(count for count, (r, g, b) in colors if g > r + 6 and g > b + 6)
    assert green > 500, "made parts are green"
    words = set(re.findall(r"[\w.]+", " ".join(sheet.extract_text() for sheet in sheets)))
    manifest = json.loads((page.parent / "manifest.json").read_text())
    numbers = re.findall(r"<b>([WB]\d+)</b>", page.read_text())
    assert words >= {*numbers, *(row["part"].partition(".")[0] for row in manifest["parts"])}
    assert not {"Position", "show"} & words, "nothing to press on paper"
    assert phone.run("document.querySelectorAll('details[open]').length") == folded
