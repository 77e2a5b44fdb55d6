"""What a row that fails says: words a fabricator knows, never a name of the model."""

from __future__ import annotations

from designs import designed_of, looked_at
from soapstone.layout.job_file import load
from soapstone.parts.model.verdict import Verdict
from trucks import DATA


def test_a_thin_rail_is_told_of_without_a_name_of_the_model() -> None:
    """Fillets whose wall is too thin fail on many plates; each says which edge, in words."""
    walls = {"frame.station.1.wall", "frame.station.2.wall"}
    whole = load(DATA / "demo.toml")
    thin = {
        key: reading._replace(value=0.09 * 25.4) if key.name in walls else reading
        for key, reading in whole.readings.items()
    }
    found = designed_of(whole._replace(readings=thin))
    ids = {weld.id.rpartition(".")[0] for weld in found.truck.assembly.welds}
    said = [one for one in looked_at(found).judged.findings if one.verdict is Verdict.FAILS]
    fillets = [one for one in said if "fillet along an edge" in one.reason]
    assert len(fillets) > 3
    for one in said:
        assert "in as drawn" not in one.reason
        assert not [weld for weld in ids if weld in one.reason], one
