"""What the API takes about stations, sign-ons and the door."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from app.api.requests import Asked, ShortWords, StationName
from app.records.entry import LARGEST_NUMBER


class JoinAsked(Asked):
    code: Annotated[ShortWords, Field(min_length=1, max_length=40)]
    station: StationName


class PinAsked(Asked):
    pin: Annotated[str, Field(min_length=1, max_length=64)]


class LookedAtAsked(Asked):
    up_to_seq: Annotated[int, Field(ge=1, le=LARGEST_NUMBER)]
