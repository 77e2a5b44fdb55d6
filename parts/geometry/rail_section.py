"""A frame rail as it was, cut and plated: its steel as polygons, its torsion as a cell, and what
plates give back. Outer face at y = 0, bottom at z = 0. Lengths mm, torsion constants mm4.

Source: Bredt's formula for a closed cell, sum(b t^3 / 3) for an open one, as in any
strength-of-materials text.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from .section import Poly, closed_cell, corners_of, open_strip, rect, rounded, section


def box(width: float, height: float, wall: float, radius: float = 0.0) -> tuple[Poly, ...]:
    """Boxed rail, outer face at y = 0, bottom at z = 0; ``radius`` outside at its corners, the
    wall's inner radius that much less. mm.
    """
    return (
        rounded(-width, 0.0, 0.0, height, radius, radius),
        rounded(
            y0=-width + wall,
            z0=wall,
            y1=-wall,
            z1=height - wall,
            r_in=max(0.0, radius - wall),
            r_out=max(0.0, radius - wall),
            sign=-1.0,
        ),
    )


def channel(width: float, height: float, wall: float, radius: float = 0.0) -> tuple[Poly, ...]:
    """Channel rail, web at y = 0 outside, open inboard; ``radius`` outside at the web's corners.
    mm.
    """
    inner = max(0.0, radius - wall)
    return (
        _mixed(-width, 0.0, 0.0, height, r_in=0.0, r_low=radius, r_high=radius),
        _mixed(-width, wall, -wall, height - wall, r_in=0.0, r_low=inner, r_high=inner, sign=-1.0),
    )


@dataclass(frozen=True, kw_only=True)
class RailSection:
    """A rail's section as measured, mm.

    Attributes
    ----------
    width, height, wall : float
        Outside across and up, and the thickness of all its walls.
    shape : str
        "boxed", or "channel" open inboard.
    radius : float
        Outside at its corners.
    """

    width: float
    height: float
    wall: float
    shape: str = "boxed"
    radius: float = 0.0

    def steel(self) -> tuple[Poly, ...]:
        """Its polygons, outer face at y = 0, bottom at z = 0."""
        make = box if self.shape == "boxed" else channel
        return make(self.width, self.height, self.wall, self.radius)

    def webs(self) -> int:
        """How many walls carry its vertical shear: two of a box, one of a channel."""
        return 2 if self.shape == "boxed" else 1


def cut(
    width: float,
    height: float,
    wall: float,
    z_low: float,
    z_high: float,
    *,
    radius: float = 0.0,
    flange: float = 0.0,
    shape: str = "boxed",
) -> tuple[Poly, ...]:
    """The rail with its outer wall gone between two heights.

    A cut that reaches a flange leaves that flange whole to y = 0 (a bulge cut flush: its corner was
    further out).

    Parameters
    ----------
    width, height, wall, radius, shape
        As in ``RailSection``, mm.
    z_low, z_high : float
        From where to where the wall is gone, mm above the rail's bottom.
    flange : float
        How much of the bottom flange is taken too, mm inboard from the face.
    """
    r_in = radius if shape == "boxed" else 0.0
    r_low, r_high = (
        0.0 if reached else radius for reached in (z_low <= wall, z_high >= height - wall)
    )
    inner = max(0.0, r_in - wall)
    outer = _mixed(-width, 0.0, 0.0, height, r_in=r_in, r_low=r_low, r_high=r_high)
    void = _mixed(
        -width + wall if shape == "boxed" else -width,
        wall,
        -wall,
        height - wall,
        r_in=inner,
        r_low=max(0.0, r_low - wall),
        r_high=max(0.0, r_high - wall),
        sign=-1.0,
    )
    low, high = max(z_low, wall), min(z_high, height - wall)
    gone = [rect(-wall, low, 0.0, high, -1.0)]
    if flange > 0:
        gone.append(rect(-flange, 0.0, 0.0, wall, -1.0))
    return (outer, void, *gone)


def _mixed(
    y0: float,
    z0: float,
    y1: float,
    z1: float,
    *,
    r_in: float,
    r_low: float,
    r_high: float,
    sign: float = 1.0,
) -> Poly:
    """Rounded rectangle whose outer lower and upper corners differ."""
    low, high = (
        rounded(y0, z0, y1, z1, r_in, r_low).points,
        rounded(y0, z0, y1, z1, r_in, r_high).points,
    )
    middle = (z0 + z1) / 2
    return Poly(
        tuple(
            [point for point in low if point[1] < middle]
            + [point for point in high if point[1] >= middle]
        ),
        sign,
    )


def plated(
    parts: tuple[Poly, ...],
    thickness: float,
    z0: float,
    z1: float,
    *,
    strip: tuple[float, float] = (0.0, 0.0),
    height: float = 0.0,
    both: bool = False,
) -> tuple[Poly, ...]:
    """The section with new steel on it.

    Parameters
    ----------
    parts : tuple of Poly
        The rail, outer face at y = 0, bottom at z = 0.
    thickness, z0, z1 : float
        Side plate: how thick, and from where to where it stands on the outer face, mm.
    strip : (float, float)
        Thickness, and width inboard of the face, of a strip under the bottom flange, mm; it reaches
        out under the plate's edge. (0, 0): none.
    height : float
        Of the rail, mm; only where ``both``.
    both : bool
        A strip on the top flange too.
    """
    more = [rect(0.0, z0, thickness, z1)]
    if strip[0] > 0:
        more.append(rect(-strip[1], -strip[0], thickness, 0.0))
        if both:
            more.append(rect(-strip[1], height, thickness, height + strip[0]))
    return (*parts, *more)


def rail_torsion(
    width: float,
    height: float,
    wall: float,
    notch: tuple[float, float] | None = None,
    plate: float = 0.0,
) -> float:
    """Torsion constant of a boxed rail: whole, cut open, or closed again.

    Parameters
    ----------
    width, height, wall : float
        mm, outside.
    notch : (float, float), optional
        From where to where the outer wall is gone, mm above the bottom; None: whole.
    plate : float
        Thickness of a plate over the cut, its edges welded to sound wall or flange, mm; 0: open.

    Returns
    -------
    float
        mm4.
    """
    across, up = width - wall, height - wall
    around = [(across, wall), (across, wall), (up, wall)]
    if notch is None:
        return closed_cell([*around, (up, wall)], across * up)
    gap = min(notch[1], height - wall / 2) - max(notch[0], wall / 2)
    if gap <= 0 and plate <= 0:
        return closed_cell([*around, (up, wall)], across * up)
    if plate <= 0:
        return open_strip([*around, (up - gap, wall)])
    # where all of the wall is gone the plate is the cell's wall; else the two share its depth
    out = (
        across + wall / 2 + plate / 2
        if gap >= up - 1e-9
        else across + (wall + plate) / 2 * gap / up
    )
    return closed_cell(
        [(out, wall), (out, wall), (up, wall), (gap, plate), (up - gap, wall + plate)], out * up
    )


@cache
def restored(
    rail: RailSection,
    notch: tuple[float, float],
    thickness: float,
    plate: tuple[float, float],
    strip: tuple[float, float] = (0.0, 0.0),
    both: bool = False,
) -> dict[str, float]:
    """What a notch takes from a rail, and what plates give back.

    Parameters
    ----------
    rail : RailSection
        As measured.
    notch : (float, float)
        From where to where the outer wall is gone, mm above the rail's bottom.
    thickness, plate : float, (float, float)
        Side plate: how thick, and from where to where it stands, mm.
    strip, both
        As in ``plated``.

    Returns
    -------
    dict
        Shares of the rail as measured, 1 meaning fully restored: "vertical", "held", "lateral"
        (moduli) and for a boxed rail "torsion"; the same with "cut " before them for the rail
        notched and not plated.
    """
    width, height, wall = rail.width, rail.height, rail.wall
    make = rail.steel()
    opened = cut(width, height, wall, *notch, radius=rail.radius, shape=rail.shape)
    mended = plated(opened, thickness, *plate, strip=strip, height=height, both=both)
    found: dict[str, float] = {}
    whole = section(make, corners_of(make))
    for word, parts in (("", mended), ("cut ", opened)):
        state = section(parts, corners_of(parts))
        found |= {
            f"{word}vertical": state.vertical / whole.vertical,
            f"{word}held": state.held / whole.held,
            f"{word}lateral": state.lateral / whole.lateral,
        }
    if rail.shape == "boxed":
        measured = rail_torsion(width, height, wall)
        found |= {
            "torsion": rail_torsion(width, height, wall, notch, thickness) / measured,
            "cut torsion": rail_torsion(width, height, wall, notch) / measured,
        }
    return found
