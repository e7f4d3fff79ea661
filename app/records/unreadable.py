"""Rows that somebody else may have written: what reading them can raise, and what to say of it."""

from __future__ import annotations

# A record holds texts that are JSON, codes and numbers. Whoever writes something else there must
# be told where it stands, and not see a traceback. RecursionError: JSON that is deep on purpose.
UNREADABLE = (ValueError, LookupError, TypeError, AttributeError, RecursionError)


def short(error: Exception) -> str:
    """The first line of what it says, else its name."""
    return (str(error).splitlines() or [type(error).__name__])[0]
