"""What people call a part, a bolt, a body of the truck: "CS1 left", "B12", "frame rail, left".

The model's own ids never reach paper or screen.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ..model.assembly import Assembly, Part, Weld

SIDES = {"L": "left", "R": "right"}
TRUCK = {
    "rail1": "frame rail",
    "rail2": "frame rail",
    "axle": "axle tube",
    "diff": "differential",
    "coil": "coil",
    "tire": "tire",
    "bar": "track bar",
    "drag_link": "drag link",
    "tie_rod": "tie rod",
    "front_shaft": "front shaft",
}
"""Bodies the truck has already; another is called by its own word."""
REST = "~"
"""Behind the name of what is left of an edge that was parted."""
TAB = re.compile(r"(\w+)_tab(\d+)[abc]")
"""An edge of a tab, as ``parts.design.interlock`` names it."""
FACES = {
    "end0": "end A",
    "end1": "end B",
    "front_end": "front end",
    "rear_end": "rear end",
    "in": "inboard",
    "out": "outboard",
    "side_a": "one side",
    "side_b": "other side",
    "slot1": "slot 1",
    "slot2": "slot 2",
}
"""Edges of a part in words; another is its own word."""
_PART = re.compile(r"\b([A-Z]{2}\d*)\.([LRC])\b")
_BODY = re.compile(rf"\b({'|'.join(TRUCK)})(?:\.([LRC]))?(?![\w.#])")
_BOLT = re.compile(r"\b[a-z_]+(?:\.[a-z_]+)*#\d+\.[LRC]\b")


def part(code: str) -> str:
    """A part's printed name from the model's id: "CS1 left", "XP1" for one that stands in the
    middle, a body of the truck by its word.

    >>> part("CS1.L"), part("XP1.C"), part("rail1.R"), part("drag_link")
    ('CS1 left', 'XP1', 'frame rail, right', 'drag link')
    """
    stem, _, side = code.partition(".")
    word = SIDES.get(side, "")
    if stem in TRUCK:
        return f"{TRUCK[stem]}, {word}" if word else TRUCK[stem]
    return f"{stem.replace('_', ' ')} {word}".strip()


def made(made_part: Part) -> str:
    """A made part's printed name: its number, and a side only where left and right differ."""
    return part(made_part.called)


def edges(names: tuple[str, ...]) -> str:
    """Edges of a part in words.

    >>> edges(("end0", "side_a", "lower", "seat_tab0a"))
    'end A and one side and lower and seat at tab 1'
    """
    return " and ".join(map(_edge, names))


def _edge(name: str) -> str:
    """An edge in words; the sides and the end of a tab are told by its count along their edge."""
    if tab := TAB.fullmatch(name):
        return f"{_edge(tab[1])} at tab {int(tab[2]) + 1}"
    whole = name.rstrip(REST)
    return FACES.get(whole, whole.replace("_", " "))


def onto(weld: Weld) -> str:
    """What a weld joins its part to; of a tube's own insert, which end of the tube."""
    if weld.on != weld.to:
        return f"to {part(weld.to)}"
    return f"to what is set into {edges(weld.edges)}"


def numbers(assembly: Assembly) -> dict[str, str]:
    """Number of every weld and bolt by its id, "W1" on and "B1" on, in the order of the work."""
    from ..model.numbering import numbered_bolts, numbered_welds

    welds = {weld.id: number for number, weld in numbered_welds(assembly).items()}
    return welds | {bolt.id: number for number, bolt in numbered_bolts(assembly).items()}


def sentence(text: str, known: Mapping[str, str] | None = None) -> str:
    """A text with the model's ids in it, as people read it.

    ``known``: id -> number of welds and bolts.

    >>> sentence("welds of LT1.L and LT2.L, bolt arm.bolt#1.L", {"arm.bolt#1.L": "B3"})
    'welds of LT1 left and LT2 left, bolt B3'
    """
    text = _BOLT.sub(lambda match: (known or {}).get(match[0], _bolt(match[0])), text)
    return _PART.sub(
        lambda match: part(match[0]),
        _BODY.sub(lambda match: part(match[0]) if match[2] or "_" in match[1] else match[0], text),
    )


def _bolt(key: str) -> str:
    stem, _, end = key.partition("#")
    name, _, side = end.partition(".")
    return f"{stem.replace('.', ' ').replace('_', ' ')} {name} {SIDES.get(side, '')}".strip()


def called(title: str, code: str) -> str:
    """A body by title and printed name: "coil-seat plate CS1 left", "frame rail, left", "drag
    link".

    >>> called("coil-seat plate", "CS1.L"), called("tire, left", "tire.L")
    ('coil-seat plate CS1 left', 'tire, left')
    >>> called("drag link", "drag_link")
    'drag link'
    """
    stem, _, side = code.partition(".")
    if re.fullmatch(r"[A-Z]{2}\d+", stem):
        return f"{title} {part(code)}".strip()
    word = SIDES.get(side, "")
    name = title or stem.replace("_", " ")
    return f"{name}, {word}" if word and word not in name else name


def code(typed: str) -> str:
    """The model's id of a part a person typed: "CS1 left", "cs1 L" or "CS1.L"; another text as it
    is.

    >>> code("CS1 left"), code("CS1.L"), code("XP1"), code("W12")
    ('CS1.L', 'CS1.L', 'XP1', 'W12')
    """
    match = re.fullmatch(
        r"([A-Za-z]{2}\d+)[ .](l|r|c|left|right|center)", typed.strip(), re.IGNORECASE
    )
    return f"{match[1].upper()}.{match[2][0].upper()}" if match else typed


def ranges(numbers: Iterable[str]) -> list[str]:
    """W1, W2, W3, W7 as W1-W3, W7: numbers with one letter before them, in order.

    >>> ranges(["W2", "W1", "W3", "W7", "B8"])
    ['B8', 'W1-W3', 'W7']
    """
    runs: list[tuple[str, int, int]] = []
    for letter, number in sorted({(name[:1], int(name[1:])) for name in numbers}):
        if runs and runs[-1][0] == letter and runs[-1][2] == number - 1:
            runs[-1] = (letter, runs[-1][1], number)
        else:
            runs.append((letter, number, number))
    return [
        f"{letter}{first}" if first == last else f"{letter}{first}-{letter}{last}"
        for letter, first, last in runs
    ]
