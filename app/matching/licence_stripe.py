"""The holder of a licence, from its magnetic stripe as a reader types it.

The layout is that of the AAMVA DL/ID Card Design Standard's annex on magnetic stripes, from
memory: the standard's text was not at hand.

    track 1   %  state (2)  city (13, ended by ^ if shorter)  name (35, likewise)
              address (29, likewise)  ?       name: last$first$middle, address: lines parted by $
    track 2   ;  issuer (6)  licence number (up to 13)  =  expiry YYMM  birth date YYYYMMDD
              the number's rest (up to 5)  ?
    track 3   begins with a sign of its own; nothing of it is wanted

The check character of a track is not typed, so that nothing tells a damaged track from a sound
one but its form. A card is read only where both tracks are there once, whole, and nothing else:
a cut or strange one says that it could not be read, and is never half of somebody. Only
`licence` imports this.
"""

from __future__ import annotations

import re
import unicodedata

# Caps lock turns the letters of a scan small.
_FLAGS = re.ASCII | re.IGNORECASE

# Three tracks hold 79, 40 and 82 characters; what is longer is more than one card.
LONGEST_STRIPE = 300

# Nobody types these: what begins a track, or what parts and ends one, also without its beginning.
_IS_STRIPE = re.compile(
    r"\s*(?:%[A-Z]|;[0-9]|[#+!].*\?\s*$)"
    r"|.*(?:\^.*[$?^]|\$.*\^|[a-z]\$[a-z]|[0-9]=[0-9]{4}|=[0-9]{4,}\?)",
    _FLAGS | re.DOTALL,
)


def _filled(most: int) -> str:
    """A field that is ended by a caret, or by its length."""
    return rf"(?:([^^?%;]{{0,{most - 1}}})\^|([^^?%;]{{{most}}})\^?)"


_TRACK_1 = re.compile(rf"%([A-Z]{{2}}){_filled(13)}{_filled(35)}{_filled(29)}\?", _FLAGS)
# Issuers in the United States begin with 636, those in Canada and some others with 604 (from
# memory): a bank's or a shop's card is none of them.
_TRACK_2 = re.compile(r";(?:636|604)[0-9]{3}[0-9]{1,13}=([0-9]{4})([0-9]{8})[0-9]{0,5}=?\?", _FLAGS)
_TRACK_3 = re.compile(r'(?:[#+!]|%[0-9" ])[^?]*\?', _FLAGS)
# Months, and the numbers that say: never, or with the birthday.
_EXPIRY_MONTHS = frozenset({*(f"{month:02}" for month in range(1, 13)), "77", "88", "99"})
_UNREADABLE: dict[str, str] = {}


def read_stripe(text: str) -> dict[str, str] | None:
    """Name, birth date and address by the IDs that the same have in a licence's barcode.

    None where `text` is not of a stripe; empty where it is and cannot be read. Never raises.
    """
    if not _IS_STRIPE.match(text[:LONGEST_STRIPE]):
        return None
    if len(text) > LONGEST_STRIPE:
        return _UNREADABLE
    tracks = _tracks("".join(letter for letter in text if unicodedata.category(letter) != "Cc"))
    return _read(*tracks) if tracks else _UNREADABLE


def _tracks(text: str) -> tuple[re.Match[str], re.Match[str]] | None:
    """Tracks 1 and 2 where each is there once, whole; None where anything else is there."""
    *pieces, rest = text.split("?")
    if rest.strip():
        return None
    whole = [f"{piece.lstrip()}?" for piece in pieces]
    first = [found for piece in whole if (found := _TRACK_1.fullmatch(piece))]
    second = [found for piece in whole if (found := _TRACK_2.fullmatch(piece))]
    third = [piece for piece in whole if _TRACK_3.fullmatch(piece)]
    is_all = len(first) == len(second) == 1 and len(whole) == 2 + len(third) <= 3
    return (first[0], second[0]) if is_all else None


def _read(first: re.Match[str], second: re.Match[str]) -> dict[str, str]:
    _state, city, whole_city, name, whole_name, street, whole_street = first.groups("")
    expiry, born = second.groups()
    # Some people have one name only, but the dollar behind it is there.
    last, dollar, given = (name or whole_name).partition("$")
    if not (dollar and last.strip()) or any(letter.isdigit() for letter in last + given):
        return _UNREADABLE
    if expiry[2:] not in _EXPIRY_MONTHS or born[:2] not in ("18", "19", "20"):
        return _UNREADABLE
    return {
        "DAA": f"{last}${given}",
        "DBB": born,
        "DAG": street or whole_street,
        "DAI": city or whole_city,
    }
