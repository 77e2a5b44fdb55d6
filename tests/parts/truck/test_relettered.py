"""Released steel carries its letter."""

from __future__ import annotations

from soapstone.parts.stock import default_shop


def test_released_steel_carries_the_letter() -> None:
    """The same strokes but for the mark: a released plate says REV A where the draft has its
    fingerprint.
    """
    from soapstone.parts.geometry import strokes
    from soapstone.parts.truck.truck import relettered
    from trucks import truck

    t, _ = truck()
    r = relettered(t, default_shop(), "DEMO1", {p.id: "A" for p in t.parts})
    draft, done = (next(p for p in x.parts if p.id == "CS1.L") for x in (t, r))
    assert draft.fingerprint == done.fingerprint and draft.marks != done.marks
    text = next(m for m in done.marks if m.role == "text")
    want = len(strokes.letter("REV A", (0.0, 0.0), 9.0))
    other = len(strokes.letter(f"D{draft.cut_fingerprint[:6].upper()}", (0.0, 0.0), 9.0))
    assert (
        len(next(m for m in draft.marks if m.role == "text").strokes) - len(text.strokes)
        == other - want
    )
