"""What every sheet has: frame, title block, cautions, how inches are printed."""

from __future__ import annotations

from typing import Any

from ...layout.units import fraction

IN = 25.4
PAGE = (792.0, 612.0)
MARGIN = 36.0
CAUTIONS = (
    "These are calculations, not an approval; local law decides. Have the work checked by whoever may sign for it.",
    "Before welding: battery off, fuel and brake lines moved or shielded, fire watch during and 30 min after (29 CFR 1910.252(a)(2)).",
    "Ask first whether the rail is heat-treated; if it is, or nobody knows, do not weld or heat it. No weld across a flange.",
)


def inches(mm: float) -> str:
    """Sixteenths with the decimal beside."""
    return f"{fraction(mm)} ({mm / IN:.3f})"


def title_block(c: Any, head: dict[str, str]) -> None:
    """Frame and title block (data fields after ISO 7200)."""
    c.setLineWidth(1.4)
    c.rect(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, PAGE[1] - 2 * MARGIN)
    c.rect(MARGIN, MARGIN, PAGE[0] - 2 * MARGIN, 54)
    cells = ((MARGIN + 8, (("Chassis", "chassis"), ("Part", "part"), ("Hand", "hand"))), (MARGIN + 290, (("Stock", "stock"), ("Mass", "mass"), ("Quantity", "quantity"))),
             (MARGIN + 530, (("Revision", "revision"), ("Level", "level"), ("Date", "date"))))
    for x, rows in cells:
        for i, (word, key) in enumerate(rows):
            c.setFont("Helvetica", 7)
            c.drawString(x, MARGIN + 40 - 15 * i, word)
            c.setFont("Helvetica-Bold", 9.5)
            c.drawString(x + 42, MARGIN + 40 - 15 * i, head.get(key, "")[:44])
