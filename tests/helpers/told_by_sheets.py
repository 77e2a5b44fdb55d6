"""Facts from shop sheets and the page, as text (pypdfium2)."""

from __future__ import annotations

import re
from collections.abc import Iterator

from built_jobs import Made
from soapstone.parts.model.body import Tube
from soapstone.parts.model.numbering import numbered_bolts, numbered_welds
from soapstone.parts.words import names
from told import Told, words_of


def table_rows(text: str, letter: str, after: str) -> Iterator[tuple[str, str]]:
    """Rows of a numbered list on a sheet: number and the words up to the next one."""
    part = text.split(after, 1)[1]
    pieces = re.split(rf"^({letter}\d+)$", part, flags=re.M)
    yield from zip(pieces[1::2], pieces[2::2], strict=True)


def from_sheets(m: Made, t: Told) -> None:
    """Weld schedule, torque sheet, tube list and arms sheet, alone and in their stage's packet."""
    _from_welds(m, t)
    _from_bolts(m, t)
    _from_tubes(m, t)


PACKETS = tuple(f"sheet/stage-{stage}.pdf" for stage in range(3, 8))
"""Where the steps are."""


def _from_welds(m: Made, t: Told) -> None:
    seen = []
    for path in ("sheet/welds.pdf", *PACKETS):
        rows = list(table_rows(words_of(m.files[path]), "W", "what to what"))
        if path == "sheet/welds.pdf":
            assert [n for n, _ in rows] == [f"W{i}" for i in range(1, len(rows) + 1)], path
            assert len(rows) == len(m.truck.assembly.welds)
        for n, words in rows:
            flat = " ".join(words.split())
            leg = re.match(
                r".*? to .*?\(?([\d/]+|[\d.]+ mm)\)? (fillet|bevel groove|slot|plug)", flat
            )
            if path != "sheet/welds.pdf" and not leg:
                continue
            assert leg, (n, flat)
            t.add("weld", n, "leg", leg[1].strip(), path)
            t.add("weld", n, "on", flat.split(" ", 1)[0], path)
            seen += [n] if path != "sheet/welds.pdf" else []
    assert sorted(seen) == sorted(numbered_welds(m.truck.assembly)), "each in one step's table"


def _from_bolts(m: Made, t: Told) -> None:
    for path in ("sheet/bolts.pdf", *PACKETS[:-1], "sheet/stage-8.pdf"):
        text = words_of(m.files[path])
        if "through, head to nut" not in text:
            continue
        seen = []
        for n, words in table_rows(text, "B", "through, head to nut"):
            if n in seen or not re.search(" > |grade|class|dowel|stud", words):
                continue
            seen.append(n)
            flat = " ".join(words.split())
            if got := re.match(r"(\S+)(?: x (.+?))? ((?:grade|class) \S+) ", flat):
                t.add("bolt", n, "size", got[1], path)
                t.add("bolt", n, "grade", got[3], path)
                if got[2]:
                    t.add("bolt", n, "length", got[2], path)
            torque = re.search(r"\d+ (?:lb ft|N m), [a-z-]+", flat)
            if torque:
                t.add("bolt", n, "torque", torque[0], path)
        if path == "sheet/bolts.pdf":
            assert set(seen) == set(numbered_bolts(m.truck.assembly)), path


def _from_tubes(m: Made, t: Told) -> None:
    tubes = words_of(m.files["sheet/tubes.pdf"])
    arms = words_of(m.files["sheet/arms.pdf"])
    for p in m.truck.parts:
        if isinstance(p.member.body, Tube):
            said = re.search(
                rf"^{re.escape(names.made(p))}\n.*?\n([\d ./]+(?: mm| \([\d.]+\))?)\n(?:long"
                r" point|square cut)",
                tubes,
                re.M | re.S,
            )
            assert said, p.id
            t.add("tube", p.id, "length", said[1], "sheet/tubes.pdf")
    for code, title in (("AR1", "radius-arm tube"), ("UA1", "upper-arm tube")):
        for side, word in (("L", "left"), ("R", "right")):
            said = re.search(rf"{title}, {word}\n([\d ./]+(?: mm)?) long", arms)
            single = next((p.id for p in m.truck.parts if f"{code}.{side}" in p.places), "")
            if said and single:
                t.add("tube", single, "length", said[1], "sheet/arms.pdf")


def from_page(m: Made, t: Told) -> None:
    """Cards of the page; their links lead somewhere, but to solids that were left out."""
    bare = not any(path.startswith("solid/") for path in m.files)
    text = re.sub(r"<svg.*?</svg>", "", m.files["index.html"].decode(), flags=re.S)
    cards = {
        place: c
        for c in re.findall(r'<div class="card hit".*?</p></div>', text, re.S)
        for place in re.findall(r'data-show="([^"]+)"', c)
    }
    assert set(cards) == {p.id for p in m.truck.singles}
    for p in m.truck.parts:
        card = cards[p.id]
        count = re.search(r"quantity (\d+)", card)
        assert count, card
        t.add("part", p.id, "quantity", int(count[1]), "index.html")
        for link in re.findall(r'href="([^"]+)"', card):
            assert link in m.files or (bare and link.startswith("solid/")), link
        if isinstance(p.member.body, Tube):
            said = re.search(
                r", ([\d ./]+(?: \([\d.]+\))?)(?: in| mm)? (?:long point|square cut)", card
            )
            assert said, card
            t.add("tube", p.id, "length", said[1], "index.html")
