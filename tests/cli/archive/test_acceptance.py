"""A reason for each kind of finding, and of a part its own; none about nothing."""

from __future__ import annotations

from soapstone.cli.archive.acceptance import (
    OF_VERDICT,
    Reasons,
    Subject,
    accepted,
    needs_acceptance,
    told,
)
from soapstone.parts.model.terms import Level
from soapstone.parts.model.verdict import Verdict
from soapstone.parts.verdict.findings import Finding, Judged

OPEN = [
    Finding("part", "AA1.L", "plate", Verdict.WAITS, "waits for a reading"),
    Finding("weld", "one", "W1, a to b", Verdict.NOT_LOOKED_AT),
    Finding("pair", "AA1.L AA2.L", "plate and tube", Verdict.TIGHT, "1/4 in"),
    Finding("pair", "AA1.R AA2.R", "plate and tube", Verdict.TIGHT, "1/4 in"),
    Finding("part", "AA2.L", "tube", Verdict.CONFIRM, "0.96 of what it may carry"),
    Finding("truck", "steel", "steel of the rail", Verdict.ASSUMED, "36 ksi"),
    Finding("part", "AA3.L", "plate", Verdict.OK),
]


def test_acceptance_is_asked_for_from_weld_on_and_once_for_each_kind() -> None:
    j = Judged(OPEN)
    none, kinds = Reasons(), {OF_VERDICT[finding.verdict] for finding in j.to_sign()}
    asked = [len(needs_acceptance(j, level, none)) for level in (Level.TACK, Level.WELD)]
    assert asked == [0, len(kinds)]
    all_said = Reasons(dict.fromkeys(kinds, "looked at on the truck"))
    took = accepted(j, "the owner", "2026-02-01", all_said)
    assert len(took) == len(j.to_sign()) and {r["by"] for r in took} == {"the owner"}
    assert needs_acceptance(j, Level.FINAL, none, took) == [], "signed for already"
    assert len(needs_acceptance(j, Level.FINAL, none, took[1:])) == 1
    for bad in ("x", "a\nb"):
        assert needs_acceptance(j, Level.WELD, Reasons(dict.fromkeys(kinds, bad)))


def test_a_part_may_have_words_of_its_own_and_no_word_is_about_nothing() -> None:
    rows = [
        Finding("part", "AA1.L", "plate", Verdict.CONFIRM, "0.91 of what it may carry"),
        Finding("part", "AA2.L", "plate", Verdict.CONFIRM, "0.96 of what it may carry"),
    ]
    one = Reasons({}, {"AA1": "the owner carries less"})
    (fault,) = needs_acceptance(Judged(rows), Level.WELD, one)
    assert "AA2" in fault.remedy and "AA1" not in fault.remedy
    both = Reasons({Subject.CONFIRM: "weighed and driven"}, dict(one.parts))
    took = accepted(Judged(rows), "the owner", "2026-02-01", both)
    assert [row["why"] for row in took] == ["the owner carries less", "weighed and driven"]
    assert told(took)[0].startswith("1 finding accepted by the owner")
    needless = Reasons({Subject.GAPS: "looked at"}, {"AA9": "looked at"})
    assert {fault.field for fault in needs_acceptance(Judged(rows), Level.TACK, needless)} == {
        "--accept gaps",
        "--accept AA9",
    }
