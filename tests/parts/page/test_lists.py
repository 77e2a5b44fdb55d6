"""What the page lists says of each thing what is said of it elsewhere."""

from __future__ import annotations

import re
from types import SimpleNamespace
from typing import cast

from soapstone.parts.model.verdict import Verdict
from soapstone.parts.page import lists
from soapstone.parts.page.shown import PageContents
from soapstone.parts.verdict.findings import Finding, Judged


def test_only_what_is_owed_is_called_needed() -> None:
    """A reading that was assumed is there, and nobody has to take it."""
    judged = Judged(
        Finding("reading", verdict.value, verdict.value, verdict, "why") for verdict in Verdict
    )
    nothing = cast(PageContents, SimpleNamespace(readings=()))
    told = lists.readings(judged, nothing, lambda words: words)
    heads = re.findall(r"<b>(.*?)</b>(.*?)</li>", told, re.DOTALL)
    for head, rest in heads:
        assert (head == "needed") == (f">{Verdict.WAITS.value}" in rest), (head, rest)
    assert len(heads) == len(Verdict) - 1, "all but what is ok"
