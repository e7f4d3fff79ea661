"""The sample's secret for spoken codes, so that the demo can be called with one.

It begins with sixteen zeros, which no secret drawn at random ever does: whoever sees it
knows it for a sample's. A precinct's own comes from `tablebook phone-secret`.
"""

from __future__ import annotations

from .draw import Draw

_SECRET_SEED = 5550142
SECRET_BYTES, ZERO_BYTES = 32, 8


def phone_secret() -> str:
    """64 hexadecimal digits; the same at every call."""
    draw = Draw(_SECRET_SEED)
    drawn = [draw.below(256) for _ in range(SECRET_BYTES - ZERO_BYTES)]
    return bytes([0] * ZERO_BYTES + drawn).hex()
