"""Pairing with the laptop that follows, and hearing that it took over.

The code that the second laptop is given binds both ways: its first letters are a digest of this
laptop's certificate, so that nobody in between can show another; the rest is good once.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import threading
import time

from sqlalchemy import delete, insert

from app.desk.joining import ALPHABET, CODE_TRIES
from app.desk.signing_on import SECRET_BYTES, digest
from app.records import queries
from app.records.standby import SECRET
from app.records.standby_epoch import epoch_of, note_newer
from app.records.store import Store
from app.records.unit import Unit
from app.rules.faults import JoinCodeWrong, NewerRecordElsewhere

# 22 to the 16th is 71 bits of the certificate's digest: nobody makes another that begins so.
CERTIFICATE_LETTERS, ONCE_LETTERS = 16, 8
# Two laptops are put up side by side; after that serve is started again for another code.
CODE_SECONDS = 3600.0


def letters_of(certificate: bytes) -> str:
    """The letters that stand for a certificate, as DER; of none where there is no TLS."""
    number = int.from_bytes(hashlib.sha256(certificate).digest(), "big")
    letters = []
    for _ in range(CERTIFICATE_LETTERS):
        number, place = divmod(number, len(ALPHABET))
        letters.append(ALPHABET[place])
    return "".join(letters)


class Pairing:
    """The one code with which one laptop may begin to follow. `code` is the first one."""

    def __init__(self, certificate: bytes) -> None:
        self._of_certificate = letters_of(certificate)
        self._lock = threading.Lock()
        self.code = self.renew()

    def renew(self) -> str:
        """A fresh code, to be shown once; the one before lets nobody in any more."""
        once = "".join(secrets.choice(ALPHABET) for _ in range(ONCE_LETTERS))
        with self._lock:
            self._digest, self._made = digest(once), time.monotonic()
            self._tries, self._is_used = 0, False
        return in_fours(self._of_certificate + once)

    def take(self, once: str) -> None:
        """Use the code up; JoinCodeWrong where it is none, late, or used."""
        with self._lock:
            self._tries += 1
            is_late = time.monotonic() - self._made > CODE_SECONDS
            is_right = hmac.compare_digest(self._digest, digest(once))
            if self._is_used or is_late or self._tries > CODE_TRIES or not is_right:
                raise JoinCodeWrong
            self._is_used = True


def in_fours(code: str) -> str:
    return " ".join(code[at : at + 4] for at in range(0, len(code), 4))


def command_to_follow(url: str, code: str) -> str:
    """What is typed at the second laptop."""
    return f"tablebook follow {url} --code {code.replace(' ', '-')}"


def parts_of(code: str) -> tuple[str, str]:
    """The letters of the certificate and those that are good once; JoinCodeWrong for no code."""
    letters = "".join(code.split()).replace("-", "").upper()
    if len(letters) != CERTIFICATE_LETTERS + ONCE_LETTERS or not set(letters) <= set(ALPHABET):
        raise JoinCodeWrong
    return letters[:CERTIFICATE_LETTERS], letters[CERTIFICATE_LETTERS:]


def keep_secret(unit: Unit) -> str:
    """A secret for the laptop that follows from now on; the one before has none any more."""
    secret = secrets.token_urlsafe(SECRET_BYTES)
    forget_secret(unit)
    row = {"name": SECRET, "text": digest(secret)}
    unit.connection.execute(insert(queries.about), row)
    return secret


def forget_secret(unit: Unit) -> None:
    unit.connection.execute(delete(queries.about).where(queries.about.c.name == SECRET))


def known_secret(store: Store) -> str | None:
    """The digest of the secret of the laptop that follows, None while none does."""
    return store.read(lambda record: queries.about_text(record, SECRET))


def is_secret(known: str | None, secret: str) -> bool:
    """Whether it is the one of this digest."""
    return known is not None and hmac.compare_digest(known, digest(secret))


def give_way(store: Store, epoch: int) -> bool:
    """Another laptop has taken over with this epoch: write down that, and nothing more.

    False where this one has taken over later itself.
    """
    if epoch <= store.read(epoch_of):
        return False
    try:
        store.writer.write(lambda unit: note_newer(unit, epoch))
    except NewerRecordElsewhere:
        return True
    store.writer.refuse(NewerRecordElsewhere(epoch=epoch))
    return True
