"""The faults a caller can cause, as one tree.

    TablebookFault
    ├── NotFound            there is no such line, worker or paper here
    ├── NotSignedOn         nobody is signed on at this station
    ├── NotAllowed          the signed-on worker's role may not do this
    ├── WrongPin            initials and PIN do not belong together
    ├── PinLocked           too many wrong PINs for this worker
    ├── PinWait             a PIN may be tried again, but not yet
    ├── Covered             the page lies covered until the PIN is typed
    ├── NotJoined           this browser is no station here
    ├── JoinCodeWrong       the code does not let a station in
    ├── TooMany             more was asked in a short time than any table needs
    ├── CannotListen        the address to serve at cannot be had
    ├── TokenMissing        a write came without the token that makes it safe to repeat
    ├── TokenReused         the same token came with a different action
    ├── BadRequest          what was sent cannot be read as what is asked for
    ├── BirthDateUnreadable the birth date typed is no date
    ├── DayNotLoaded        the database holds no package yet
    ├── AlreadyLoaded       the database holds a day; it is never loaded over
    ├── AlreadyThere        what is to be added is there already
    ├── DiskNearlyFull      so large an import would take the room that the day still needs
    ├── HandOverFailed      the bundle of the day could not be made or written
    ├── StorageRefused      the storage cannot be trusted with the record
    ├── CopyRefused         the folder named for a copy is no place for one
    ├── RecordBehindCarbon  the carbon holds more than the record: an older record was put back
    ├── CannotFollow        there is no laptop to follow, or another in its place
    ├── ReadOnlyStandby     this laptop follows another one: nothing is recorded here
    ├── NoStandby           this laptop follows nobody: there is nothing to take over
    ├── NewerRecordElsewhere another laptop took over: nothing is recorded here any more
    └── OutcomeUnknown      the disk failed while writing: neither yes nor no

A fault carries a stable code and the facts of the case; `api` alone turns codes
into HTTP. What a person at the table can run into in good faith (already signed,
polls not open) is no fault: it is a value, see `app.desk.outcomes`.
"""

from __future__ import annotations


class TablebookFault(Exception):
    """A fault with a stable `code` and the `facts` that explain it; never personal data."""

    code = "fault"

    def __init__(self, **facts: object) -> None:
        super().__init__(self.code, facts)
        self.facts = facts


class NotFound(TablebookFault):
    code = "not-found"


class NotSignedOn(TablebookFault):
    code = "not-signed-on"


class NotAllowed(TablebookFault):
    code = "not-allowed"


class WrongPin(TablebookFault):
    code = "wrong-pin"


class PinLocked(TablebookFault):
    code = "pin-locked"


class PinWait(TablebookFault):
    code = "pin-wait"


class Covered(TablebookFault):
    code = "covered"


class NotJoined(TablebookFault):
    code = "not-joined"


class JoinCodeWrong(TablebookFault):
    code = "join-code-wrong"


class TooMany(TablebookFault):
    code = "too-many"


class CannotListen(TablebookFault):
    code = "cannot-listen"


class TokenMissing(TablebookFault):
    code = "token-missing"


class TokenReused(TablebookFault):
    code = "token-reused"


class BadRequest(TablebookFault):
    code = "bad-request"


class BirthDateUnreadable(TablebookFault):
    code = "birth-date-unreadable"


class DayNotLoaded(TablebookFault):
    code = "day-not-loaded"


class AlreadyLoaded(TablebookFault):
    code = "already-loaded"


class AlreadyThere(TablebookFault):
    code = "already-there"


class DiskNearlyFull(TablebookFault):
    code = "disk-nearly-full"


class HandOverFailed(TablebookFault):
    code = "hand-over-failed"


class StorageRefused(TablebookFault):
    code = "storage-refused"


class CopyRefused(TablebookFault):
    code = "copy-refused"


class RecordBehindCarbon(TablebookFault):
    code = "record-behind-carbon"


class CannotFollow(TablebookFault):
    code = "cannot-follow"


class ReadOnlyStandby(TablebookFault):
    code = "read-only-standby"


class NoStandby(TablebookFault):
    code = "no-standby"


class NewerRecordElsewhere(TablebookFault):
    code = "newer-record-elsewhere"


class OutcomeUnknown(TablebookFault):
    code = "outcome-unknown"
