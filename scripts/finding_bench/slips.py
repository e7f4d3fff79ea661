"""How names and dates go wrong between a voter's mouth and a clerk's keyboard.

Every function takes folded or printed text and a source of chance, and gives None where
the slip cannot happen to that text. Nothing here knows how any engine compares.
"""

from __future__ import annotations

import random
import re
from datetime import date

_ROWS = ("qwertyuiop", "asdfghjkl", "zxcvbnm")
_DIGIT_ROW = "1234567890"

# What is pressed wrongly, by how often.
_KEY_SLIPS = (("neighbour", 30), ("swap", 22), ("omit", 25), ("double", 10), ("extra", 13))
# The first letter is watched while it is typed.
FIRST_LETTER_SPARED = 0.85

# Spelt otherwise, said the same: pattern, replacement.
_SAME_SOUND = tuple(
    (re.compile(pattern), spelt)
    for pattern, spelt in (
        ("ph", "f"), ("f(?=[aeiou])", "ph"), ("ck", "k"), ("k$", "ck"), ("^c(?=[aoulr])", "k"),
        ("^k(?=[aoulr])", "c"), ("(?<=.)c(?=[aou])", "k"), ("^c(?=[ei])", "s"), ("(?<=n)z$", "s"),
        ("s$", "z"), ("x", "ks"), ("ks", "x"), ("ie", "y"), ("y$", "ie"), ("y$", "ey"),
        ("ey$", "y"), ("i(?=[a-z])", "y"), ("(?<=.)y(?=[a-z])", "i"), ("ei", "ie"), ("ei", "y"),
        ("ai", "ay"), ("ay", "ai"), ("ea", "ee"), ("ee", "ea"), ("ou", "oo"), ("au", "aw"),
        ("aw", "au"), ("ow", "au"), ("gh", ""), ("^kn", "n"), ("^wr", "r"), ("^j(?=e)", "g"),
        ("^g(?=e)", "j"), ("sch", "sh"), ("sh", "sch"), ("th", "t"), ("t$", "tt"), ("dt$", "t"),
        ("sen$", "son"), ("son$", "sen"), ("er$", "ar"), ("er$", "or"), ("ar$", "er"),
        ("an$", "en"), ("en$", "an"), ("on$", "en"), ("in$", "yn"), ("ine$", "een"), ("e$", ""),
        ("([bdflmnprst])\\1", "\\1"), ("(?<=[aeiou])([lmnrst])(?=[aeiou])", "\\1\\1"),
        ("ah$", "a"), ("a$", "ah"), ("qu", "kw"), ("mb$", "m"), ("(?<=[aeiou])h(?=[nmr])", ""),
    )
)  # fmt: skip
# Heard for another sound across a noisy table.
_MISHEARD = tuple(
    (re.compile(pattern), heard)
    for pattern, heard in (
        ("b", "v"), ("b", "p"), ("p", "b"), ("d", "t"), ("t", "d"), ("m", "n"), ("n", "m"),
        ("v", "b"), ("f", "s"), ("s", "f"), ("th", "f"), ("g", "k"), ("k", "g"), ("r", "l"),
        ("l", "r"), ("ch", "sh"), ("sh", "ch"), ("j", "ch"), ("z", "s"), ("w", "v"), ("a", "e"),
        ("e", "i"), ("i", "e"), ("o", "u"), ("u", "o"), ("o", "a"), ("d$", ""), ("t$", ""),
        ("s$", ""), ("n$", "nd"), ("n$", "ng"), ("er$", "a"), ("l(?=[bcdfgkmpt])", ""),
    )
)  # fmt: skip


def mistyped(word: str, chance: random.Random) -> str | None:
    """`word` with one wrong key, never the same word; None below three letters."""
    if len(word) < 3:
        return None
    for _ in range(20):
        made = _press(word, chance)
        if made != word:
            return made
    return None


def respelt(word: str, chance: random.Random) -> str | None:
    """`word` as another ear would write the same sound, at one or two places."""
    made = _rewritten(word, _SAME_SOUND, chance)
    if made and chance.random() < 0.3:
        made = _rewritten(made, _SAME_SOUND, chance) or made
    return made if made != word else None


def misheard(word: str, chance: random.Random) -> str | None:
    """`word` with one or two sounds taken for other ones."""
    made = _rewritten(word, _MISHEARD, chance)
    if made and chance.random() < 0.35:
        made = _rewritten(made, _MISHEARD, chance) or made
    return made if made != word else None


def wrong_digit(day: date, chance: random.Random) -> date:
    """`day` with one digit wrong, mostly a neighbour on the keyboard; still a possible birth."""
    while True:
        digits = list(f"{day:%Y%m%d}")
        place = chance.choice([2, 3, 4, 5, 6, 7])
        near = _neighbours(digits[place], (_DIGIT_ROW,))
        digits[place] = chance.choice(near if chance.random() < 0.6 else _DIGIT_ROW)
        made = _date_of("".join(digits))
        if made and made != day and 1920 <= made.year <= 2009:
            return made


def day_month_swapped(day: date) -> date | None:
    """`day` in the other order; None where that is no other date."""
    if day.day > 12 or day.day == day.month:
        return None
    return day.replace(month=day.day, day=day.month)


def year_off_by_one(day: date, chance: random.Random) -> date:
    """The same day of the year before or after."""
    year = day.year + chance.choice((-1, 1))
    return date(year, day.month, min(day.day, 28) if day.month == 2 else day.day)


def _press(word: str, chance: random.Random) -> str:
    kinds = [kind for kind, _ in _KEY_SLIPS]
    kind = chance.choices(kinds, [weight for _, weight in _KEY_SLIPS])[0]
    at = chance.randrange(len(word))
    if at == 0 and chance.random() < FIRST_LETTER_SPARED:
        at = chance.randrange(1, len(word))
    near = _neighbours(word[at], _ROWS) or word[at]
    match kind:
        case "neighbour":
            return word[:at] + chance.choice(near) + word[at + 1 :]
        case "swap":
            return word[: at - 1] + word[at] + word[at - 1] + word[at + 1 :] if at else word
        case "omit":
            return word[:at] + word[at + 1 :]
        case "double":
            return word[:at] + word[at] + word[at:]
        case _:
            return word[: at + 1] + chance.choice(near) + word[at + 1 :]


def _neighbours(key: str, rows: tuple[str, ...]) -> str:
    """The keys beside, above and below."""
    found = ""
    for number, row in enumerate(rows):
        at = row.find(key)
        if at >= 0:
            found += row[max(at - 1, 0) : at] + row[at + 1 : at + 2]
            for other in rows[max(number - 1, 0) : number] + rows[number + 1 : number + 2]:
                found += other[max(at - 1, 0) : at + 1]
    return found


def _rewritten(
    word: str, rules: tuple[tuple[re.Pattern[str], str], ...], chance: random.Random
) -> str | None:
    """`word` after one of the rules that change it; None where none leaves two letters."""
    fitting = [rule for rule in rules if rule[0].search(word)]
    chance.shuffle(fitting)
    for pattern, spelt in fitting:
        places = list(pattern.finditer(word))
        place = chance.choice(places)
        made = word[: place.start()] + place.expand(spelt) + word[place.end() :]
        if made != word and len(made) > 1:
            return made
    return None


def _date_of(digits: str) -> date | None:
    try:
        return date(int(digits[:4]), int(digits[4:6]), int(digits[6:]))
    except ValueError:
        return None
