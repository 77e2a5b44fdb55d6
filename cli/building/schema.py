"""The JSON schema of job and shop files, as one file beside them."""

from __future__ import annotations

import json
from pathlib import Path

from ...layout.job.form import SCHEMA


def schema_text() -> str:
    """The schema as JSON: of a job file where the file has [job], else of a shop's settings."""
    from ...layout.job.schema import DIALECT, job_schema
    from ...parts.stock.schema import shop_schema

    job, shop = job_schema(), shop_schema()
    definitions = job.pop("definitions")
    schema = {
        "$schema": DIALECT,
        "title": "soapstone: a job file, or a shop's settings",
        "type": "object",
        # for editors that complete from here alone
        "properties": {
            **dict.fromkeys(shop["properties"], True),
            **dict.fromkeys(job["properties"], True),
        },
        "if": {"required": ["job"]},
        "then": {**job, "additionalProperties": False},
        "else": {**shop, "additionalProperties": False},
        "definitions": definitions,
    }
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def write_beside(job: Path) -> None:
    """The schema into the folder of a job file, where its first line looks for it."""
    from .. import disk

    text = schema_text().encode()
    path = job.with_name(SCHEMA)
    if not path.is_file() or path.read_bytes() != text:
        disk.put_file(path, text)
