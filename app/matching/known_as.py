"""Nicknames: the other names a person with this first name goes by.

The table of the `nicknames` package, both ways (Bill for William, William for Bill),
with a few that it lacks.
"""

from __future__ import annotations

from functools import lru_cache

from nicknames import NickNamer

from app.matching.names import glue

# Common practice, no source.
_MORE = {
    "alejandro": ("alex",),
    "antonio": ("tono", "tony"),
    "carmelo": ("melo",),
    "charles": ("chas", "chaz"),
    "concepcion": ("concha",),
    "consuelo": ("chelo",),
    "dolores": ("lola",),
    "eduardo": ("eddie", "lalo"),
    "enrique": ("quique", "kike"),
    "francisco": ("paco", "pancho", "frank"),
    "graciela": ("chela",),
    "guadalupe": ("lupe",),
    "guillermo": ("memo",),
    "ignacio": ("nacho",),
    "isabel": ("chabela",),
    "jesus": ("chuy",),
    "jose": ("pepe", "joe"),
    "luis": ("lucho",),
    "manuel": ("manny", "manolo"),
    "mercedes": ("meche",),
    "refugio": ("cuca",),
    "roberto": ("beto", "bob"),
    "rosario": ("chayo",),
    "salvador": ("chava",),
    "william": ("liam",),
}


@lru_cache(maxsize=1)
def _table() -> dict[str, tuple[str, ...]]:
    """Every name with its other names, all folded, in alphabetical order."""
    others: dict[str, set[str]] = {}
    pairs = [
        (glue(name), glue(nickname))
        for name, nicknames in NickNamer.default_lookup().items()
        for nickname in nicknames
    ]
    pairs += [(name, nickname) for name, nicks in _MORE.items() for nickname in nicks]
    for name, nickname in pairs:
        others.setdefault(name, set()).add(nickname)
        others.setdefault(nickname, set()).add(name)
    return {name: tuple(sorted(known - {name, ""})) for name, known in others.items()}


def other_names(first_name: str) -> tuple[str, ...]:
    """The folded names that a person whose folded first name this is may go by."""
    return _table().get(first_name, ())


def is_known_as(first_name: str, other: str) -> bool:
    """Whether one folded name is a nickname of the other, either way."""
    return other in other_names(first_name)
