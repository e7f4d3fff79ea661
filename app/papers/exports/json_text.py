"""JSON as a file that people may look at too: the same data give the same bytes."""

from __future__ import annotations

import json
from typing import Any


def json_bytes(value: Any) -> bytes:
    """Indented by one, keys as they come, letters as they are; a line end at the end."""
    return (json.dumps(value, ensure_ascii=False, indent=1) + "\n").encode()
