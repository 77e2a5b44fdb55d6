"""Shop settings to start from: what the default stock is, written out whole, so that the file as
printed changes nothing.
"""

from __future__ import annotations

import json

from ...layout import units
from ...layout.job.form import POINTER
from .on_hand import default_shop
from .tables import rows

EXAMPLE = f"""{POINTER}
# Shop settings. As printed they change nothing: every line says the default. Leave out
# what the defaults serve.
# A setting left out keeps its default; a list (plate, tube, drills, sheet) is all there is of its
# kind and leaves the other lists alone.
[shop]
# name = "our shop"
# archive = "archive"        # folder of released revisions, from this file's own folder; without it
# beside the job file

[units]
# length = "in"              # in or mm: what a bare number means in this file, and what screen and
# paper print; without it inches, and the job's own unit is printed

[cut]
unit = "in"                  # unit of the cut files, in or mm; it is in their names too
dxf = "R2010"                # or R12 for an old table
smallest_hole = "3/8"        # smaller holes are drilled, not cut
hole_to_thickness = 1.5      # and so are holes smaller than this times the plate
bed = ["48", "96"]           # what fits on the table
inner_radius = "1/8"         # least radius of an inner corner
mark_margin = "1/8"          # no scribe line nearer than this to an edge or an opening

[layers]                     # rename what the table's software wants otherwise
SCRIBE = "SCRIBE"

[weld]
process = "GMAW"
# filler = "ER70S-6"         # what is in the gun, with its size if the sheets are to say it:
# ER70S-6 .035; without it 70 ksi is ASSUMED
# fillets are made in these legs only; without it these, or 3 4 5 6 8 10 mm where
# [units] length = "mm"
legs = ["1/8", "3/16", "1/4", "5/16", "3/8", "1/2"]

# [[load]]                   # a load case with the shop's own factor; `soapstone rack loads` lists
# them
# key = "twist"
# factor = 2.0
# by = "who"                 # a factor below the usual one needs a name and a reason; both are
# printed
# reason = "why"

# [[sheet]]                  # sheets and remnants; without any, sheets of the table's size without
# end
# key = "R-014"              # what is painted on it
# plate = "1/4 A36"
# width = "24"
# length = "48"
# count = 1                  # 0: as many as wanted

[nest]
spacing = "3/8"              # between parts
margin = "1/2"               # to the sheet's edge

[rates]
hour = 0                     # at the bench; 0 = not counted
cut_inch = 0                 # an inch of cut
pierce = 0
margin = 0                   # percent on top, in the sum and the customer's quote

[paper]
size = "letter"              # letter, tabloid, A4 or A3
terms = "US"                 # or AU: Australian and British words on sheets and pages

# [bolts]                    # without it no torque is printed
# friction = "dry"           # dry, oiled or anti-seize
# pivot = "grade 8"          # marks of inch bolts by use: pivot, steering, frame, mount; the job's
# own go first
# pivot_metric = "class 8.8" # and of metric ones
# dowel = "A36"              # steel of the crossmember's dowels
# sizes that may hold a crossmember; without it these, or M12x1.75 M14x2 M16x2 where
# [units] length = "mm"
# frame_sizes = ["1/2-13", "9/16-12", "5/8-11"]
"""
SIXTY_FOURTHS = 64
A_LINE = 10
DRILLS = """
# Drills on hand, all of them: a list here replaces the default drills, and nothing else.
[drills]
sizes = [
"""
PLATES = """
# Plate on hand, all of it: rows here replace the default plates, and nothing else. Take out what is
# not on the rack, add what is.
# measured = 0.256 is by micrometer: strength uses the smaller, slots the measured. price = 0.95 is
# a pound.
"""
TUBES = """
# Tube on hand, all of it: rows here replace the default tubes, and nothing else. price = 2.4 is a
# pound.
"""


def settings_text() -> str:
    """A shop.toml with every setting; loaded as it is it gives the default shop."""
    sizes = [f'"{units.fraction(d, SIXTY_FOURTHS)}"' for d in default_shop().drills]
    lines = [
        "    " + ", ".join(sizes[i : i + A_LINE]) + ",\n" for i in range(0, len(sizes), A_LINE)
    ]
    return (
        EXAMPLE
        + DRILLS
        + "".join(lines)
        + "]\n"
        + PLATES
        + "".join(_row("plate", r, {"thickness": "t_in"}) for r in rows("plates"))
        + TUBES
        + "".join(_row("tube", r, {"od": "od_in", "wall": "wall_in"}) for r in rows("tubes"))
    )


def _row(table: str, r: dict[str, str], sizes: dict[str, str]) -> str:
    given = "".join(f'{word} = "{r[column]} in"\n' for word, column in sizes.items())
    return f"\n[[{table}]]\nkey = {json.dumps(r['key'])}\n{given}steel = {json.dumps(r['steel'])}\n"
