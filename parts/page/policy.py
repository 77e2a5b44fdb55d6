"""What a content policy calls a style or a script that stands in its page."""

from __future__ import annotations

import base64
import hashlib


def sha256_of(text: str) -> str:
    """The source by which a content policy allows one text (CSP level 3, hash-source).

    >>> sha256_of("")
    'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='
    """
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
