"""The JSON schema of job and shop files, as one file beside them."""

from __future__ import annotations

import json
from pathlib import Path

from ...layout.job.form import SCHEMA


def schema_text() -> str:
    """The schema as JSON: of a job file where the file has [job], else of a shop's settings."""
    from ...layout.job.schema import DIALECT, job_tables, readings
    from ...parts.stock.schema import shop_tables

    job, shop = job_tables(), shop_tables()
    schema = {
        "$schema": DIALECT,
        "title": "soapstone: a job file, or a shop's settings",
        "type": "object",
        # for editors that complete from here alone
        "properties": {
            **dict.fromkeys(shop, True),
            **dict.fromkeys(job, True),
        },
        "if": {"required": ["job"]},
        "then": {"properties": job, "required": ["job"], "additionalProperties": False},
        "else": {"properties": shop, "additionalProperties": False},
        "definitions": readings(),
    }
    return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"


def write_beside(job: Path) -> None:
    """The schema into the folder of a job file, where its first line looks for it."""
    from .. import disk

    text = schema_text().encode()
    path = job.with_name(SCHEMA)
    if not path.is_file() or path.read_bytes() != text:
        disk.put_file(path, text)
