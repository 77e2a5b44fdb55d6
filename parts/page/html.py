"""The page as HTML, under a content policy that allows its own style and script by hash only."""

from __future__ import annotations

import json
from functools import partial
from html import escape
from importlib.resources import files
from string import Template

from ...layout.graph import Graph
from ..documents.levels import LAID
from ..model.verdict import Verdict
from ..stock import Shop
from ..strength.result import Strength
from ..truck.pins import on_paper
from ..truck.truck import Truck
from ..verdict.findings import Judged
from ..words import names
from ..words.cautions import BATTERY, FIRE
from ..words.numbers import worded
from ..words.readings import in_words
from . import lists
from .blocks import Say, fold, items, safe
from .card import card, look_of
from .policy import sha256_of
from .scene import scene
from .shown import PageContents
from .svg import svg

SHEET = (792.0, 612.0)
"""Size of a sheet drawn in, points."""


def page(truck: Truck, shop: Shop, held: Strength, judged: Judged, shown: PageContents) -> bytes:
    """The HTML."""
    own = files(__package__)
    style, turning, finding, frame = (
        own.joinpath(name).read_text(encoding="utf-8")
        for name in ("page.css", "page.js", "find.js", "page.html")
    )
    script = turning + finding
    policy = (
        f"default-src 'none'; style-src '{sha256_of(style)}'; script-src '{sha256_of(script)}';"
        " connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'"
    )
    say = partial(_said, known=names.numbers(truck.assembly), solved=shown.solved)
    model = json.dumps(scene(truck, shop, judged, shown), separators=(",", ":"))
    return (
        Template(frame)
        .substitute(
            policy=policy,
            style=style,
            script=script,
            model=model.replace("<", "\\u003c"),
            chassis=safe(shown.chassis),
            level=safe(shown.level),
            date=safe(shown.date or "not dated"),
            status=_status(judged, say),
            laid=safe(LAID),
            cautions=safe(" ".join((BATTERY(), FIRE()))),
            places="".join(
                f'<option value="{index}">{safe(place)}</option>'
                for index, place in enumerate(shown.places)
            ),
            folds=_folds(truck, shop, held, judged, shown, say),
        )
        .encode()
    )


def _folds(
    truck: Truck, shop: Shop, held: Strength, judged: Judged, shown: PageContents, say: Say
) -> str:
    """Everything below the truck, what matters open."""
    open_ones = [finding for finding in judged.findings if finding.verdict is not Verdict.OK]
    return "".join(
        (
            fold(
                "What matters, worst first",
                lists.findings(judged, shown, say),
                count=len(open_ones),
                name="findings",
                shown=True,
            ),
            lists.parts(truck, lambda part: card(part, judged, shop, shown, say)),
            lists.welds(truck),
            lists.bolts(truck, shop),
            lists.readings(judged, shown, say),
            lists.results(shown),
            lists.checks(truck, held, say),
            _gaps(shown, say),
            _taken(judged, shown, say),
            _views(shown),
            _documents(shown),
        )
    )


def _gaps(shown: PageContents, say: Say) -> str:
    body = items(shown.gaps, say) if shown.gaps else "<p>nothing within reach</p>"
    return fold("What comes closest", body, count=len(shown.gaps), name="gaps")


def _taken(judged: Judged, shown: PageContents, say: Say) -> str:
    """What nobody measured and the shop's own load factors, but for what stands under what matters
    already.
    """
    above = Verdict.ASSUMED in judged.counts
    rest = [line for line in shown.assumed if not (above and line.startswith(lists.HEAD))]
    if not rest:
        return ""
    title = "Load factors of the shop's own" if above else "ASSUMED, nobody measured it"
    return fold(title, items(rest, say), count=len(rest), name="assumed")


def _views(shown: PageContents) -> str:
    """Drawings; a phone moves them sideways, by keys too."""
    body = "".join(
        f'<div class="figure" tabindex="0" role="group" aria-label="{safe(sheet.title)}, moves'
        f' sideways">{svg(sheet, SHEET, sheet.title)}</div>'
        for sheet in shown.sheets
    )
    return fold("Views and plots", body or "<p>the linkage waits</p>", name="views")


def _documents(shown: PageContents) -> str:
    rows = "".join(
        f'<li><a href="{escape(path)}">{safe(title)}</a></li>' for title, path in shown.documents
    )
    body = f'<ul class="papers">{rows}</ul>'
    return fold("Sheets and files", body, name="sheets")


def _said(text: object, known: dict[str, str], solved: Graph) -> str:
    """A text with ids of the model, readings and settings in it, as people read it."""
    return worded(names.sentence(in_words(on_paper(str(text)), solved), known))


def _status(judged: Judged, say: Say) -> str:
    """The headline, and how many parts are not for cutting."""
    barred = [found for found in judged.findings if found.kind == "part" and found.verdict.bars]
    said = f'<p class="{look_of(judged.worst)}" id="verdict">{safe(say(judged.headline))}</p>'
    held = f"<p>{len(barred)} not for cutting: the reasons stand under what matters.</p>"
    return said + (held if barred else "")
