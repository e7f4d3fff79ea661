"""What all bodies of entries are: typed, frozen, and nothing in them that is not asked for."""

from __future__ import annotations

from typing import ClassVar

from pydantic import BaseModel, ConfigDict


class Body(BaseModel):
    """Base of every body. `kind` is the entry's kind."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    kind: ClassVar[str]
