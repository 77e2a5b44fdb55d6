"""[job], [units], [wanted]: what the job is called, what bare numbers mean, what is wanted of the
truck.
"""

from __future__ import annotations

from .field import Field, angle, date, length, text, word

SLUG = "1 to 24 letters, digits, - or _"

JOB: tuple[Field, ...] = (
    word(
        "job.chassis",
        "J-01",
        (),
        "Short name of the chassis; it names the folder and every part",
        needed=True,
        remedy=f"use {SLUG}; no spaces, dots or slashes",
    ),
    text("job.title", "J-02", 120, "What the job is, as it stands on the sheets"),
    text("job.by", "J-03", 60, "Who measured"),
    date("job.date", "J-04", "Day of the survey; sheets take their date from here"),
    text("job.note", "J-05", 200, "Anything the next person must know"),
)

UNITS: tuple[Field, ...] = (
    word(
        "units.length",
        "J-11",
        (),
        'Unit of lengths typed without one, "in" or "mm"',
        remedy="use a unit of length: in, mm, cm, ft",
    ),
    word(
        "units.angle",
        "J-12",
        (),
        'Unit of angles typed without one, "deg"',
        remedy="use a unit of angle: deg, rad",
    ),
    word(
        "units.force",
        "J-13",
        (),
        'Unit of forces and weights typed without one, "lbf" or "N"',
        remedy="use a unit of force: lbf, N, kN, kgf",
    ),
    word(
        "units.rate",
        "J-14",
        (),
        'Unit of spring rates typed without one, "lbf/in" or "N/mm"',
        remedy="use a unit of rate: lbf/in, N/mm",
    ),
    word(
        "units.torsion",
        "J-15",
        (),
        'Unit of torsion rates typed without one, "in*lbf/deg"',
        remedy="use a unit such as in*lbf/deg, N*m/deg",
    ),
    word(
        "units.mass",
        "J-16",
        (),
        'Unit of masses typed without one, "lb" or "kg"',
        remedy="use a unit of mass: lb, kg",
    ),
    length(
        "units.tape",
        "J-17",
        0,
        1,
        "± of the tape as it is read in this shop",
        role="wanted",
        needed=False,
    ),
    angle("units.finder", "J-18", 0, 3, "± of the angle finder", role="wanted", needed=False),
)

WANTED: tuple[Field, ...] = (
    angle(
        "wanted.pinion_working",
        "W-01",
        -3,
        6,
        "Working angle asked for at the pinion joint at ride height, nose above the shaft line"
        " is +",
        role="wanted",
        yields=8,
        default=0.5,
        remedy="for a front axle aim 0 to 1 deg nose above the shaft line",
    ),
    angle(
        "wanted.band_low",
        "W-02",
        0,
        6,
        "Smallest working angle at the pinion joint that the shop accepts",
        role="wanted",
        yields=10,
        default=0.5,
    ),
    angle(
        "wanted.band_high",
        "W-03",
        0,
        6,
        "Largest working angle at the pinion joint that the shop accepts",
        role="wanted",
        yields=11,
        default=1.5,
    ),
    angle(
        "wanted.caster_low",
        "W-04",
        -5,
        15,
        "Smallest caster asked for at ride height, read against the floor",
        role="wanted",
        yields=9,
        safety=True,
        remedy="the alignment shop or the axle's maker gives it",
    ),
    angle(
        "wanted.caster_high",
        "W-05",
        -5,
        15,
        "Largest caster asked for at ride height, read against the floor",
        role="wanted",
        yields=9,
        safety=True,
        remedy="the alignment shop or the axle's maker gives it",
    ),
    length(
        "wanted.hub_to_lip",
        "W-06",
        5,
        50,
        "Hub center to fender lip asked for at ride height, if the height is asked for that way",
        role="wanted",
        needed=False,
        sided=True,
        state="ride",
    ),
    length(
        "wanted.belly_limit",
        "W-07",
        2,
        24,
        "Lowest point allowed below the rail bottom",
        role="wanted",
        needed=False,
    ),
)
