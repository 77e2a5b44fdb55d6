"""The page as HTML, under a content policy that allows its own style and script by hash only."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Sequence
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
from .card import card, look_of
from .policy import sha256_of
from .scene import scene
from .shown import PageContents
from .svg import svg

MOST_ROWS = 60
"""Checks the page lists."""
SHEET = (792.0, 612.0)
"""Size of a sheet drawn in, points."""
ALL = 10**6
Say = Callable[[object], str]


def page(truck: Truck, shop: Shop, held: Strength, judged: Judged, shown: PageContents) -> bytes:
    """The HTML."""
    own = files(__package__)
    style, script, frame = (
        own.joinpath(name).read_text(encoding="utf-8")
        for name in ("page.css", "page.js", "page.html")
    )
    policy = (
        f"default-src 'none'; style-src '{sha256_of(style)}'; script-src '{sha256_of(script)}';"
        " connect-src 'self'; img-src data:; base-uri 'none'; form-action 'none'"
    )
    say = partial(_said, known=names.numbers(truck.assembly), solved=shown.solved)
    model = json.dumps(scene(truck, shop, judged, shown), separators=(",", ":"))
    assumed = f"<h3>ASSUMED, nobody measured it</h3><ul>{_items(shown.assumed, say)}</ul>"
    count, checks = _checks(truck, held, say)
    return (
        Template(frame)
        .substitute(
            policy=policy,
            style=style,
            script=script,
            model=model.replace("<", "\\u003c"),
            chassis=_safe(shown.chassis),
            level=_safe(shown.level),
            date=_safe(shown.date or "not dated"),
            status=_status(judged, say),
            laid=_safe(LAID),
            cautions=_safe(" ".join((BATTERY(), FIRE()))),
            places="".join(
                f'<option value="{index}">{_safe(place)}</option>'
                for index, place in enumerate(shown.places)
            ),
            views="".join(
                f'<div class="figure">{svg(x, SHEET, x.title)}</div>' for x in shown.sheets
            ),
            gaps=_items(shown.gaps, say) or "<li>nothing within reach</li>",
            cards="".join(card(part, judged, shop, shown, say) for part in truck.parts),
            findings=_items(judged.lines(ALL), say) or "<li>nothing</li>",
            rows=count,
            checks=checks,
            assumed=assumed if shown.assumed else "",
            setout=_table(("what", "value", "±"), [list(map(_safe, row)) for row in shown.setout]),
            documents="".join(
                f'<li><a href="{_safe(path)}">{_safe(title)}</a></li>'
                for title, path in shown.documents
            ),
        )
        .encode()
    )


def _said(text: object, known: dict[str, str], solved: Graph) -> str:
    """A text with ids of the model, readings and settings in it, as people read it."""
    return worded(names.sentence(in_words(on_paper(str(text)), solved), known))


def _safe(words: object) -> str:
    return escape(str(words))


def _items(texts: Iterable[object], say: Say) -> str:
    return "".join(f"<li>{_safe(say(text))}</li>" for text in texts)


def _table(columns: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A table of cells that are HTML already."""
    head = "".join(f"<th>{_safe(column)}</th>" for column in columns)
    body = "".join(f"<tr>{''.join(f'<td>{cell}</td>' for cell in row)}</tr>" for row in rows)
    return (
        f'<div class="wide"><table><thead><tr>{head}</tr></thead>'
        f"<tbody>{body}</tbody></table></div>"
    )


def _status(judged: Judged, say: Say) -> str:
    """The headline, and what is not for cutting with the reason."""
    barred = [found for found in judged.findings if found.kind == "part" and found.verdict.bars]
    why: dict[str, list[str]] = {}
    for finding in barred:
        why.setdefault(f"{finding.verdict}: {finding.reason}", []).append(finding.id)
    rows = "".join(
        f"<li>{_safe(', '.join(map(names.part, ids)))}: {_safe(say(reason))}</li>"
        for reason, ids in why.items()
    )
    said = f'<p class="{look_of(judged.worst)}" id="verdict">{_safe(say(judged.headline))}</p>'
    held = f"<details><summary>{len(barred)} not for cutting</summary><ul>{rows}</ul></details>"
    return said + (held if barred else "")


def _checks(truck: Truck, held: Strength, say: Say) -> tuple[int, str]:
    """How many checks there are, and the table of those with the least margin."""
    every = sorted((*held.checks, *truck.checks), key=lambda check: -check.utilisation)
    rows = [check for check in every if check.capacity > 0]
    cells = [
        [
            _safe(say(check.part)),
            _verdict(check.verdict),
            f"{check.utilisation:.2f}",
            _safe(say(check.what)),
            _safe(check.case or "any"),
            _safe(check.clause),
        ]
        for check in rows[:MOST_ROWS]
    ]
    return len(rows), _table(("part", "", "used", "what", "case", "by"), cells)


def _verdict(verdict: Verdict) -> str:
    return f'<span class="{look_of(verdict)}">{_safe(verdict)}</span>'
