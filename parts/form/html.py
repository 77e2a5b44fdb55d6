"""The form as HTML, under a content policy that allows its own style and script by hash only and
no network at all.
"""

from __future__ import annotations

import json
from html import escape
from importlib.resources import files
from string import Template

from ...layout.job.load import Job
from ..drawing.display import PAGE, Sheet
from ..drawing.measuring import CAUTION
from ..drawing.sketch import draw_truck
from ..page.policy import sha256_of
from ..page.svg import svg
from ..words.terms import spoken
from .facts import facts

SCRIPTS = ("numbers.js", "keep.js", "checks.js", "cards.js", "pages.js")
"""In the order in which they build on each other."""


def form(job: Job) -> bytes:
    """The form of a job's readings, what the job says already filled in."""
    own = files(__package__)
    style, frame = (
        own.joinpath(name).read_text(encoding="utf-8") for name in ("form.css", "form.html")
    )
    script = "".join(own.joinpath(name).read_text(encoding="utf-8") for name in SCRIPTS)
    policy = (
        f"default-src 'none'; style-src '{sha256_of(style)}'; script-src '{sha256_of(script)}';"
        " img-src data: blob:; base-uri 'none'; form-action 'none'"
    )
    known = json.dumps(facts(job), separators=(",", ":"), ensure_ascii=False)
    return (
        Template(frame)
        .substitute(
            policy=policy,
            style=style,
            script=script,
            facts=known.replace("<", "\\u003c"),
            chassis=escape(job.chassis),
            caution=escape(spoken(CAUTION)),
            sketch=_sketch(),
        )
        .encode()
    )


def _sketch() -> str:
    sheet = Sheet("measuring sketch")
    draw_truck(sheet)
    return svg(sheet, PAGE, "Side view and plan of a solid front axle, not to scale")
