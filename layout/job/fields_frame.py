"""[frame]: the rails by station, the cut in their side, the holes already in them."""

from __future__ import annotations

from ..units import IN
from .field import CALLIPER, Field, angle, length, word

_HALF = CALLIPER / IN
_SIDED = {"sided": True}

RAILS: tuple[Field, ...] = (
    length("frame.wheelbase", "F-01", 60, 260, "Front to rear wheel centre as it will stand, plumbed to the floor", state="ride"),
    angle("frame.rake", "F-02", -8, 8, "Angle of the rail bottom on a named straight zone, front down is +", state="ride", **_SIDED),
    word("frame.section", "F-03", ("boxed", "channel"), "Rail section where the parts stand: closed box or open channel", needed=True, safety=True),
    word("frame.open_side", "F-04", ("inboard", "outboard"), "Which way the channel opens", needed=True, when="frame.section=channel"),
    word("frame.heat_treated", "F-05", ("yes", "no", "unknown"), "Is the frame heat-treated steel? A label or the body-builder guide says so",
         needed=True, safety=True, remedy="say unknown if nothing proves it; it is then treated as heat-treated"),
    word("frame.steel", "F-06", (), "Steel of the rails if known, else unknown", remedy='a short name such as "unknown" or "A36"'),
    length("frame.corner_radius", "F-07", 0, 2, "Outside corner radius of the rail section, radius gauge", half=1 / 32),
    length("frame.datum_hole", "F-08", -80, 80, "Centre of the one round factory hole each station is taped from: behind the full-bump plumb line is -", **_SIDED),
    length("frame.lip_to_rail_bottom", "F-09", 0, 40, "Fender lip down to rail bottom, plumbed at the axle", needed=False, **_SIDED),
    length("frame.diagonal_a", "F-10", 20, 300, "Left front to right rear check point, between the plumbed floor marks", needed=False),
    length("frame.diagonal_b", "F-11", 20, 300, "Right front to left rear check point, between the plumbed floor marks", needed=False),
    length("frame.measuring_width", "F-12", 10, 80, "Width between the two places where the frame height is taped at set-down", needed=False),
)

STATIONS: tuple[Field, ...] = (
    length("frame.station.*.x", "F-20", -200, 80, "Station: ahead (+) or behind (-) the full-bump plumb line, along the floor"),
    length("frame.station.*.outer", "F-21", 5, 40, "Centre line to outer face of the rail, plumbed to the floor", **_SIDED),
    length("frame.station.*.width", "F-22", 1, 8, "Rail width over both side faces, calliper", half=1 / 32, **_SIDED),
    length("frame.station.*.height", "F-23", 2, 14, "Rail height over both flanges, calliper", half=1 / 32, **_SIDED),
    length("frame.station.*.wall", "F-24", 0.06, 0.75, "Wall thickness at a drilled witness hole or by ultrasonic gauge", half=_HALF, safety=True,
           remedy="never guess the wall: drill a 1/8 in witness hole in the side wall and measure", **_SIDED),
    length("frame.station.*.flange", "F-25", 0.5, 8, "Flange width of the channel, outside of web to flange edge", half=1 / 32,
           when="frame.section=channel", **_SIDED),
    length("frame.station.*.bottom", "F-26", 4, 60, "Floor to rail bottom with the frame blocked at target ride height", state="ride", **_SIDED),
    length("frame.station.*.inside", "F-27", 5, 80, "Whole inside width between the rails", needed=False),
    length("frame.station.*.outside", "F-28", 10, 90, "Whole outside width over both rails", needed=False),
)

_PLANE = "Centre line to the outer face of what is left of the rail, string and square, at the"
NOTCH: tuple[Field, ...] = (
    length("frame.notch.x_first", "F-40", -60, 60, "Rear end of the cut in the rail side, from the full-bump plumb line", **_SIDED),
    length("frame.notch.x_last", "F-41", -60, 60, "Front end of the cut in the rail side, from the full-bump plumb line", **_SIDED),
    length("frame.notch.z_low", "F-42", 0, 14, "Lower edge of the cut above the rail bottom, 0 = through the bottom corner", **_SIDED),
    length("frame.notch.z_high", "F-43", 0, 14, "Upper edge of the cut above the rail bottom, rail height = through the top corner", **_SIDED),
    length("frame.notch.plane_front_low", "F-44", 5, 40, f"{_PLANE} front station, lower height", **_SIDED),
    length("frame.notch.plane_front_high", "F-45", 5, 40, f"{_PLANE} front station, upper height", **_SIDED),
    length("frame.notch.plane_rear_low", "F-46", 5, 40, f"{_PLANE} rear station, lower height", **_SIDED),
    length("frame.notch.plane_rear_high", "F-47", 5, 40, f"{_PLANE} rear station, upper height", **_SIDED),
    length("frame.notch.plane_z_low", "F-48", 0, 14, "Lower of the two heights where the plane is read, above the rail bottom"),
    length("frame.notch.plane_z_high", "F-49", 0, 14, "Upper of the two heights where the plane is read, above the rail bottom"),
    length("frame.notch.plane_x_front", "F-50", -60, 60, "Front of the two stations where the plane is read"),
    length("frame.notch.plane_x_rear", "F-51", -60, 60, "Rear of the two stations where the plane is read"),
    length("frame.notch.proud.*.x", "F-52", -60, 60, "Station of this reading, every inch or two along the bulge"),
    length("frame.notch.proud.*.proud", "F-53", 0, 4, "How far the rail side stands outside the plane here, straight edge and rule; 0 = flush",
           half=1 / 32, **_SIDED),
)

HOLES: tuple[Field, ...] = (
    word("frame.hole.*.side", "F-60", ("left", "right"), "Rail the hole is in", needed=True),
    word("frame.hole.*.face", "F-61", ("side", "bottom", "top"), "Face of the rail the hole is in", needed=True),
    length("frame.hole.*.x", "F-62", -200, 80, "Centre of the hole from the full-bump plumb line"),
    length("frame.hole.*.from_edge", "F-63", 0, 14, "Side face: centre above the rail bottom; bottom or top: centre in from the outer face"),
    length("frame.hole.*.diameter", "F-64", 0.05, 4, "Diameter of the hole, calliper", half=1 / 64),
    word("frame.hole.*.use", "F-65", ("crossmember", "keep clear", "datum"), "What the hole is to the job", needed=True),
)

FRAME: tuple[Field, ...] = (*RAILS, *STATIONS, *NOTCH, *HOLES)
