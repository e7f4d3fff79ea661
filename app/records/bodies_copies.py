"""What entries say of copies of the record: one fails or is in step again; one took over."""

from __future__ import annotations

from typing import Literal

from app.records.body import Body

WhichCopy = Literal["carbon", "standby"]


class CopyWentOut(Body):
    """From here on the copy does not have what is acknowledged. `why` is a code."""

    kind = "copy.failed"
    which: WhichCopy
    why: str


class CopyIsBack(Body):
    """The copy has caught up: it has everything again."""

    kind = "copy.back"
    which: WhichCopy


class LaptopTookOver(Body):
    """A laptop that followed has the record from here on; `reason` is the lead's."""

    kind = "laptop.took_over"
    epoch: int
    reason: str


class LaptopGaveWay(Body):
    """The laptop that had the record before has heard that this one took over with this epoch,
    and records nothing more.
    """

    kind = "laptop.gave_way"
    epoch: int


COPY_BODIES: tuple[type[Body], ...] = (CopyWentOut, CopyIsBack, LaptopTookOver, LaptopGaveWay)
