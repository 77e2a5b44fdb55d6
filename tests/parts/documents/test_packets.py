"""Steps of the packets: every weld once on a picture and once in the table under it, every bolt
too, every part put in once; nothing a picture must show is left without a place, and nothing it
shows without a row.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest
from again import once
from papers import every, made, pictured, work
from soapstone.parts.documents import engine, packets, steps, survey
from soapstone.parts.words import names
from trucks import NAMES


def on_pictures(name: str, letter: str) -> Counter[str]:
    """Numbers on the pictures of steps; of a step that stands for both sides the right ones too."""
    placed, told = pictured(name)
    found: Counter[str] = Counter()
    for each in told:
        if letter == "B" and each.laid:
            continue
        of = steps.welds_of if letter == "W" else steps.bolts_of
        shown = {
            text.words
            for text in each.shown.sheet.texts
            if re.fullmatch(rf"{letter}\d+", text.words)
        }
        both = each.step.group.both and shown
        found.update([*of(placed, each.step)] if both else shown)
    return found


@pytest.mark.parametrize("name", once(NAMES))
def test_every_weld_and_bolt_is_on_one_picture_and_in_the_table_of_its_step(name: str) -> None:
    f = made(name)
    welds, bolts = Counter[str](), Counter[str]()
    for doc in every(name):
        for block in doc.blocks if doc.name.startswith("steps-") else ():
            if isinstance(block, engine.Table):
                head = block.columns[0][0]
                of = {"weld": welds, "no": bolts}.get(head, Counter[str]())
                of.update(row[0] for row in block.rows)
    assert welds == on_pictures(name, "W") == Counter(dict.fromkeys(f.welds(), 1))
    assert bolts == on_pictures(name, "B") == Counter(dict.fromkeys(f.bolts(), 1))


@pytest.mark.parametrize("name", once(NAMES))
def test_every_made_part_is_put_in_by_one_step_and_everything_has_its_place(name: str) -> None:
    f = made(name)
    put: Counter[str] = Counter()
    for doc in every(name):
        for block in doc.blocks if doc.name.startswith("steps-") else ():
            if isinstance(block, engine.Table) and block.columns[0][0] == "item":
                put.update(part for row in block.rows for part in row[1].split(", "))
    there = ("existing", "tool")
    asked = [names.part(m.code) for m in f.truck.assembly.members if m.fixed_after not in there]
    assert put == Counter(dict.fromkeys(asked, 1))
    assert [each.number for each in pictured(name)[1] if each.shown.left] == []


@pytest.mark.parametrize("name", once(NAMES))
def test_whatever_a_picture_numbers_is_named_below_it(name: str) -> None:
    """Every ringed number, weld and bolt of a step's picture, in a row or in words under it."""
    pictures = 0
    for doc in every(name):
        steps_of = doc.blocks if doc.name.startswith("steps-") else ()
        marks: set[str] = set()
        for block in (*steps_of, engine.Words("Step", [])):
            if isinstance(block, engine.Words) and block.title.startswith("Step"):
                assert not marks, (doc.name, marks)
            elif isinstance(block, engine.Drawn):
                pictures += 1
                marks = {text.words for text in block.sheet.texts}
            elif isinstance(block, engine.Table):
                marks -= {cell for row in block.rows for cell in row}
            else:
                marks -= {word for row in block.rows for word in row.split()}
    assert pictures == len(pictured(name)[1])


@pytest.mark.parametrize("name", once(NAMES))
def test_no_two_steps_of_a_packet_are_called_the_same(name: str) -> None:
    placed, told = pictured(name)
    called = [(each.number.partition(".")[0], steps.named(placed, each.step)) for each in told]
    assert len(called) == len({*called}) and all(words for _, words in called)


@pytest.mark.parametrize("name", once(NAMES))
def test_a_picture_takes_no_more_paper_than_it_fills(name: str) -> None:
    """A line or a word within a row's height of its strip's upper and lower edge, none past it."""
    for each in pictured(name)[1]:
        sheet = each.shown.sheet
        heights = [y for line in sheet.lines for _, y in line.points]
        heights += [y for text in sheet.texts for y in (text.at[1], text.at[1] + text.size)]
        assert 0 <= min(heights) < 12 and 0 <= sheet.size[1] - max(heights) < 12, each.number


@pytest.mark.parametrize("name", once(NAMES))
def test_sheets_that_run_on_say_whose_they_are(name: str) -> None:
    """Below the cover of a packet every sheet begins under a heading."""
    docs = {doc.name: doc for doc in every(name)}
    for at, packet in enumerate(work(name).packets):
        titles = [block.title for block in packet[0].blocks if not isinstance(block, engine.Drawn)]
        for run_on in packets.LED[at][1:]:
            if run_on in docs:
                assert {docs[run_on].title, steps.HOW_READ} & {*titles}, run_on


def test_a_cover_has_the_stages_parts_tools_and_hold_point() -> None:
    f = made()
    assert len(packets.TOOLS) == len(packets.HOLDS) == len(packets.LED) == len(survey.STAGES)
    count: Counter[str] = Counter()
    for at, packet in enumerate(work().packets):
        cover = packet[0]
        words = " ".join(
            row for block in cover.blocks if isinstance(block, engine.Words) for row in block.rows
        )
        assert packets.TOOLS[at] in words and packets.HOLDS[at] in words
        for block in cover.blocks:
            if isinstance(block, engine.Table) and block.title == "Parts of this packet":
                for row in block.rows:
                    count.update({row[1]: int(row[2])})
                    count.update({row[5]: int(row[6] or 0)})
    whole = sum(
        m.per_truck for m in f.truck.assembly.members if m.fixed_after not in ("existing", "tool")
    )
    assert count.total() == whole
