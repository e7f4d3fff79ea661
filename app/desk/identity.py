"""The laptop's certificate as the record keeps it, so that a restart keeps the fingerprint."""

from __future__ import annotations

from collections.abc import Collection

from sqlalchemy import delete, insert

from app.records import queries
from app.records.clock import Clock
from app.records.store import Store
from app.records.unit import Unit
from app.trust import certificates
from app.trust.certificates import Identity

# The row of `about` that keeps it, its keys with it.
IDENTITY = "identity"


def identity_of(store: Store, names: Collection[str], clock: Clock) -> Identity:
    """The identity for these host names and addresses; made or renewed where it is not there."""
    text = store.read(lambda connection: queries.about_text(connection, IDENTITY))
    now = clock.now()
    if text is None:
        identity = certificates.make(names, now)
    else:
        identity = certificates.renewed(Identity.from_text(text), names, now)
    if identity.as_text() != text:
        store.writer.write(lambda unit: _keep(unit, identity))
    return identity


def _keep(unit: Unit, identity: Identity) -> None:
    about = queries.about
    unit.connection.execute(delete(about).where(about.c.name == IDENTITY))
    row = {"name": IDENTITY, "text": identity.as_text()}
    unit.connection.execute(insert(about), row)
