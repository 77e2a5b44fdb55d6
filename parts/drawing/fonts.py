"""The two faces every sheet is set in, embedded so that a print shop's machine shows what was
drawn: Bitstream Vera, which comes with reportlab and may be embedded.

Vera is wider than the faces a PDF reader has of its own; it is set smaller by the share below, so
that a line takes the same room.
"""

from __future__ import annotations

from functools import cache

PLAIN, BOLD = "Vera", "Vera-Bold"
FILES = {PLAIN: "Vera.ttf", BOLD: "VeraBd.ttf"}
SHARE = {PLAIN: 0.866, BOLD: 0.818}
"""Width of a sans face as PDF readers have it over Vera's own, measured on a line of a sheet."""


@cache
def _register() -> None:
    """Both faces known; streams as bytes, not spelled out in letters: a fifth smaller and sooner
    written and read.
    """
    from reportlab import rl_config
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    rl_config.useA85 = 0
    for name, file in FILES.items():
        pdfmetrics.registerFont(TTFont(name, file))


def face(size: float, bold: bool = False) -> tuple[str, float]:
    """Font name, known to reportlab from here on, and the size it is set at for a nominal ``size``
    in points.
    """
    _register()
    name = BOLD if bold else PLAIN
    return name, SHARE[name] * size
