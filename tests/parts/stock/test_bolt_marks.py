"""Whose word a bolt's mark is: the job's, the shop's, and never one of the other system's."""

from __future__ import annotations

from soapstone.layout.job.fields import FIELDS
from soapstone.layout.job.fields_axle import CLASSES
from soapstone.parts.stock.classes import PLACES, given


def test_every_mark_may_be_said_of_every_bolt() -> None:
    fields = {f"{field}_class" for field, _ in PLACES.values() if field}
    assert {name: FIELDS[name].words for name in fields} == dict.fromkeys(fields, CLASSES)


def test_a_metric_shop_says_the_class_of_its_crossmember_bolts_in_the_job() -> None:
    """ISO 898-1 classes belong to metric threads, SAE J429 grades to inch ones."""
    words = {"frame.bolt_class": "class 10.9"}
    assert given(words, {}, "cross.flange#1.L", "M14x2") == "class 10.9"
    assert given(words, {}, "cross.flange#1.L", "9/16-12") == ""
    shop = {"frame": "grade 8", "frame_metric": "class 8.8"}
    assert given(words, shop, "cross.side#1.L", "9/16-12") == "grade 8"
    assert given({}, shop, "cross.side#1.L", "M14x2") == "class 8.8"
