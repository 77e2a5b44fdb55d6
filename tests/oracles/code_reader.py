"""A reader of small two-dimensional codes, written from ISO/IEC 18004 alone: versions 1 to 3, one
block of bytes, no error corrected. Not of the library that writes them.
"""

from __future__ import annotations

from collections.abc import Iterator

MASKS = (
    lambda r, c: (r + c) % 2,
    lambda r, c: r % 2,
    lambda r, c: c % 3,
    lambda r, c: (r + c) % 3,
    lambda r, c: (r // 2 + c // 3) % 2,
    lambda r, c: r * c % 2 + r * c % 3,
    lambda r, c: (r * c % 2 + r * c % 3) % 2,
    lambda r, c: ((r + c) % 2 + r * c % 3) % 2,
)
"""Table 10 of the standard: a module is turned where these give nought."""
FORMAT_MASK = 0b101010000010010
BYTES = 0b0100


def read(rows: list[str]) -> str:
    """What a code says; ``rows``: of modules without the quiet zone, "1" dark."""
    size = len(rows)
    version = (size - 17) // 4
    assert 1 <= version <= 3 and all(len(row) == size for row in rows)
    strip = [rows[8][c] for c in (0, 1, 2, 3, 4, 5, 7, 8)]
    strip += [rows[r][8] for r in (7, 5, 4, 3, 2, 1, 0)]
    mask = (int("".join(strip), 2) ^ FORMAT_MASK) >> 10 & 0b111
    bits = "".join(str(int(rows[r][c]) ^ (MASKS[mask](r, c) == 0)) for r, c in _data(size, version))
    assert int(bits[:4], 2) == BYTES
    count = int(bits[4:12], 2)
    return bytes(int(bits[12 + 8 * n : 20 + 8 * n], 2) for n in range(count)).decode("ascii")


def _data(size: int, version: int) -> Iterator[tuple[int, int]]:
    """Modules that hold data, in their order."""
    middle = 4 * version + 10

    def kept(r: int, c: int) -> bool:
        corner = (r < 9 and c < 9) or (r < 9 and c >= size - 8) or (r >= size - 8 and c < 9)
        aligned = version > 1 and abs(r - middle) <= 2 and abs(c - middle) <= 2
        return not (corner or aligned or r == 6 or c == 6)

    up = True
    column = size - 1
    while column > 0:
        if column == 6:
            column -= 1
        for r in range(size - 1, -1, -1) if up else range(size):
            for c in (column, column - 1):
                if kept(r, c):
                    yield r, c
        up, column = not up, column - 2
