"""What the phone's form hands back: good files and bad ones, a sentence each, nothing in part."""

from __future__ import annotations

import base64
import json
from typing import Any

import pytest
from soapstone.layout.faults import SoapstoneError
from soapstone.layout.job.handed import FORM, MOST_BYTES, MOST_REMARK, handed_back

LEFT = "frame.station.1.outer.left"
JPEG = "data:image/jpeg;base64," + base64.b64encode(b"\xff\xd8 something").decode()


def row(**facts: Any) -> dict[str, Any]:
    return {"path": LEFT, "code": "F-21", "was": "", "value": "17 1/2 in", **facts}


def file(*rows: dict[str, Any], **facts: Any) -> bytes:
    return json.dumps({"soapstone form": FORM, "chassis": "T1", "readings": rows} | facts).encode()


def read(data: bytes, known: dict[str, str] | None = None) -> Any:
    return handed_back(data, "T1-readings.json", "T1", known or {})


def test_a_reading_comes_with_what_stands_beside_it() -> None:
    beside = {"again": ["17 9/16 in"], "state": "ride", "by": "Pat", "date": "2026-02-01"}
    beside["with"] = "tape 2"
    got = read(file(row(**beside, remark="rusty", photos=[JPEG])))
    assert got.taken == {LEFT: {"value": "17 1/2 in", **beside}}
    assert got.said[0].remark == "rusty" and got.said[0].photos == (b"\xff\xd8 something",)


def test_why_a_reading_cannot_be_measured_is_said_without_a_reading() -> None:
    got = read(file(row(value="", cannot="tank in the way", by="Pat")))
    assert not got.taken and got.said[0].cannot == "tank in the way"


def test_a_word_is_taken_as_a_word() -> None:
    word = {"path": "frame.section", "code": "F-03", "value": "boxed", "by": "Pat"}
    assert read(file(word)).taken == {"frame.section": "boxed"}


def test_the_same_reading_twice_alike_is_one() -> None:
    assert len(read(file(row(), row())).taken) == 1


BAD = {
    "no JSON": (b"%PDF-1.4", "a file that the form on the phone handed back"),
    "cut off": (file(row())[:-9], "copy the file whole"),
    "not the form's": (b"{}", "choose the file the form saved"),
    "another job": (file(row(), chassis="T9"), "form of T9"),
    "older": (file(row(), **{"soapstone form": FORM - 1}), "an older form"),
    "newer": (file(row(), **{"soapstone form": FORM + 1}), "another form"),
    "a name twice": (b'{"chassis": "T1", "chassis": "T2"}', "a name stands twice"),
    "older by a field": (file(row(path="frame.station.1.outre.left")), "frame.station.*.outer"),
    "older by a code": (file(row(code="F-99")), "an older form, F-99"),
    "two values": (file(row(), row(value="17 9/16 in")), "17 1/2 in and 17 9/16 in"),
    "markup": (file(row(remark="<img src=x>")), "leave out < and >"),
    "markup as why": (file(row(value="", cannot="a<b>")), "leave out < and >"),
    "a long remark": (file(row(remark="x" * (MOST_REMARK + 1))), "shorten it"),
    "two lines": (file(row(remark="one\ntwo")), "on one line"),
    "a reading that cannot be": (file(row(cannot="no room")), "take one of them away"),
    "a wrong day": (file(row(date="1 May")), "year-month-day"),
    "a wrong state": (file(row(state="flying")), "how the truck stood"),
    "a number": (file(row(value=17.5)), "a reading as text"),
    "no photo": (file(row(photos=["data:text/html;base64,PGI+"])), "take the photo again"),
    "photos as text": (file(row(photos="x")), "leave some out"),
    "rows as text": (file().replace(b"[]", b'"x"'), "a list of readings"),
    "deep": (b"[" * 200_000, "a file that the form"),
}


@pytest.mark.parametrize("name", BAD)
def test_a_bad_file_is_told_in_a_sentence(name: str) -> None:
    data, says = BAD[name]
    with pytest.raises(SoapstoneError) as told:
        read(data)
    faults = "; ".join(map(str, told.value.faults))
    assert says in faults and "nothing was taken" in told.value.title, faults


def test_a_file_larger_than_any_form_hands_back() -> None:
    with pytest.raises(SoapstoneError, match="nothing was taken"):
        read(b" " * (MOST_BYTES + 1))


def test_what_was_changed_in_the_job_since_is_not_written_over() -> None:
    """The form knew 17 in; since then another was taken: neither the old one nor the new."""
    with pytest.raises(SoapstoneError) as told:
        read(file(row(was="17")), {LEFT: "18"})
    assert "the job now says 18" in str(told.value.faults[0])
    assert read(file(row(was="17")), {LEFT: "17"}).taken, "as the form knew it"
    assert read(file(row(sent="17 in")), {LEFT: "17 in"}).taken, "corrects what it handed back"
    assert read(file(row(was="17")), {LEFT: "17 1/2 in"}).taken, "taken already"


def test_every_fault_is_told_in_one_run() -> None:
    other = row(path="frame.station.1.outer.right", remark="<b>")
    with pytest.raises(SoapstoneError) as told:
        read(file(row(date="x"), other))
    assert len(told.value.faults) == 2
