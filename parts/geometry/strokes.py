"""Our own single-stroke letters for marks on steel: polylines on a grid 4 wide and 6 high, drawn
with few strokes.

Each glyph is a list of strokes, each stroke pairs of digits x, y. Lower case prints as capitals; an
unknown character prints as a box.
"""

from __future__ import annotations

from ..model.vectors import Vec2

GRID = {
    "A": "002640 1131",
    "B": "000636443303 0333423000",
    "C": "46060040",
    "D": "000636444230 3000",
    "E": "46060040 0333",
    "F": "460600 0333",
    "G": "460600404323",
    "H": "0006 4046 0343",
    "I": "2026",
    "J": "46413010 1001",
    "K": "0006 4603 0340",
    "L": "060040",
    "M": "0006234640",
    "N": "0006 0640 4046",
    "O": "0006464000",
    "P": "0006464303",
    "Q": "0006464000 2240",
    "R": "0006464303 1340",
    "S": "453616050413334241301001",
    "T": "0646 2620",
    "U": "06004046",
    "V": "062046",
    "W": "0610233046",
    "X": "0046 0640",
    "Y": "0623 4623 2320",
    "Z": "06460040",
    "0": "0006464000 0046",
    "1": "152620 1030",
    "2": "064643030040",
    "3": "06464000 1343",
    "4": "3630 360242",
    "5": "460603434000",
    "6": "460600404303",
    "7": "064610",
    "8": "0006464000 0343",
    "9": "4046060343",
    "/": "0046",
    "-": "0343",
    ".": "2021",
    "+": "2125 0343",
    " ": "",
}
BOX = "0006464000"
WIDTH = 5.5
HIGH = 6.0


def letter(text: str, at: Vec2, height: float) -> tuple[tuple[Vec2, ...], ...]:
    """Strokes of ``text`` with its lower-left at ``at``, ``height`` mm high.

    Returns
    -------
    tuple of polylines
        One a pen stroke, mm; small letters as capitals, a sign without a glyph as a box.
    """
    scale = height / HIGH
    out: list[tuple[Vec2, ...]] = []
    for i, character in enumerate(text.upper()):
        for stroke in GRID.get(character, BOX).split():
            points = [
                (int(stroke[digit]), int(stroke[digit + 1])) for digit in range(0, len(stroke), 2)
            ]
            out.append(
                tuple((at[0] + (i * WIDTH + x) * scale, at[1] + y * scale) for x, y in points)
            )
    return tuple(out)


def width(text: str, height: float) -> float:
    """How long the lettering of ``text`` is, mm, without the gap after its last letter."""
    return max(0.0, (len(text) * WIDTH - (WIDTH - 4.0)) * height / HIGH)
