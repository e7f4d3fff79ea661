"""What the API takes about stations, sign-ons and the door."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from app.api.requests import Asked, ShortWords
from app.desk.joining import NAME_LENGTHS
from app.records.entry import LARGEST_NUMBER


class JoinAsked(Asked):
    code: Annotated[ShortWords, Field(min_length=1, max_length=40)]
    station: Annotated[ShortWords, Field(min_length=1, max_length=NAME_LENGTHS.stop - 1)]


class PinAsked(Asked):
    pin: Annotated[str, Field(min_length=1, max_length=64)]


class LookedAtAsked(Asked):
    up_to_seq: Annotated[int, Field(ge=1, le=LARGEST_NUMBER)]
