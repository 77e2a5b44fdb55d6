"""An exception nobody meant, as the soaks tell it."""

from __future__ import annotations

import traceback
from pathlib import Path

SLIP = "SLIP"


def told(e: Exception) -> tuple[str, str]:
    """The word for it, and what it was and where in the tool it was raised."""
    rows = [row for row in traceback.extract_tb(e.__traceback__) if "soapstone" in row.filename]
    at = f"{Path(rows[-1].filename).name}:{rows[-1].lineno} {rows[-1].name}" if rows else ""
    return SLIP, f"{type(e).__name__} at {at}: {str(e)[:300]}"
