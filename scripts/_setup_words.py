"""How the scripts end when they cannot go on: one sentence that says why and what to do."""

from __future__ import annotations

import errno
import sys
from collections.abc import Callable

# How much of a program's own words is shown where there are no plain ones here.
LINES_SHOWN = 12

Say = Callable[[str], None]

DISK_FULL = "The disk is full: make room and run this again; it goes on where it stopped."
WRONG_FILE = (
    "A downloaded file is not the one that the lock names, and was not installed: "
    "run this again, and if it stays so, ask who looks after your network."
)
NOT_TRUSTED = (
    "The package index could not be trusted (its certificate does not check out): "
    "see to the clock and the network of this computer and run this again."
)
NO_NETWORK = (
    "No network: the first set-up downloads packages. Connect and run this again; "
    "once it is set up, Tablebook needs no network."
)
NO_BUILD = (
    "A package has no ready-made build for this Python on this computer: "
    "use a 64-bit Python 3.11, 3.12 or 3.13 from python.org."
)

# What to say, and the words of pip or of the system that it is known by. The first that fits
# counts: a missing network also ends in "No matching distribution found".
KNOWN_FAILURES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        DISK_FULL,
        # of Linux and macOS, of Python, of Windows, of SQLite
        ("No space left on device", "Errno 28", "not enough space on the disk", "disk is full"),
    ),
    (WRONG_FILE, ("DO NOT MATCH THE HASHES",)),
    (NOT_TRUSTED, ("CERTIFICATE_VERIFY_FAILED", "SSLCertVerificationError")),
    (
        NO_NETWORK,
        (
            "NewConnectionError",
            "Failed to establish a new connection",
            "Connection refused",
            "Connection reset",
            "ConnectTimeout",
            "Name or service not known",
            "NameResolutionError",
            "Network is unreachable",
            "ProxyError",
            "Read timed out",
            "RemoteDisconnected",
            "Temporary failure in name resolution",
            "getaddrinfo failed",
        ),
    ),
    (NO_BUILD, ("No matching distribution found",)),
)


class Refusal(Exception):
    """Why a script cannot go on, in one sentence for the person who ran it."""


def told_in_words(work: Callable[[], int]) -> int:
    """Run `work` and return its exit code; faults end as one line and 1, Ctrl-C quietly as 130."""
    try:
        return work()
    except Refusal as refusal:
        words = str(refusal)
    except KeyboardInterrupt:
        return 130
    except OSError as fault:
        words = explain_os_error(fault)
    print(words, file=sys.stderr)
    return 1


def explain_os_error(fault: OSError) -> str:
    """One sentence for the person who ran the script."""
    if fault.errno == errno.ENOSPC:
        return DISK_FULL
    return ": ".join(str(part) for part in (fault.filename, fault.strerror or fault) if part)


def explain_failure(output: str) -> str | None:
    """One sentence for a failure that is known by its words; None for any other."""
    for sentence, signs in KNOWN_FAILURES:
        if any(sign in output for sign in signs):
            return sentence
    return None


def tail(output: str) -> str:
    """The last lines of a long output, where the reason of a failure stands."""
    return "\n".join(output.strip().splitlines()[-LINES_SHOWN:])
