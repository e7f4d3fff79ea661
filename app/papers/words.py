"""Every sentence on a slip, by language. In braces stands what is filled in.

Both languages have the same keys. A sentence that tells of a right names the statute once, in
the comment beside the English one.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, time
from types import MappingProxyType
from typing import Literal

Language = Literal["en", "es"]

_ENGLISH = {
    "direction.title": "Where to vote",
    "direction.lead": "You are registered at another polling place. Please go to:",
    "direction.precinct": "Ask there for precinct",
    "direction.name": "Registered name",
    "direction.hours": "Open from {opens} to {closes} on {date}.",
    "direction.trouble": (
        "If they do not find your name there, do not leave. Show this slip, and ask them to call "
        "the registrar:"
    ),
    "provisional.title": "Your provisional ballot",
    "provisional.envelope": "Envelope number",
    "provisional.name": "Name",
    "provisional.election": "Election",
    # 52 U.S.C. 21082(a)(5): written information, at the time of voting, on a free access system.
    "provisional.how": "Was it counted?",
    "provisional.call": (
        "Call the registrar and give the envelope number. You will be told whether your ballot "
        "was counted and, if it was not, why. It costs you nothing."
    ),
    "provisional.when": "Ask now from which day on they can tell you. Keep this slip.",
    # 52 U.S.C. 21082(a), after (5): access is restricted to the individual who cast the ballot.
    "provisional.only_you": "Only you have a right to this answer, so keep the number to yourself.",
    # 52 U.S.C. 21082(c)
    "provisional.extended": (
        "You voted after the usual closing time, in hours that an order had added. Your ballot is "
        "kept apart from other provisional ballots."
    ),
    "registrar.phone": "Telephone {phone}",
    "footer": "{county}, precinct {precinct}: {election}",
    "caution": "Local law and the registrar decide.",
}

_SPANISH = {
    "direction.title": "Dónde votar",
    "direction.lead": "Su inscripción está en otro lugar de votación. Vaya, por favor, a:",
    "direction.precinct": "Pregunte allí por el precinto",
    "direction.name": "Nombre inscrito",
    "direction.hours": "Abierto de {opens} a {closes}, el {date}.",
    "direction.trouble": (
        "Si allí no encuentran su nombre, no se vaya. Muestre esta hoja y pida que llamen al "
        "registro:"
    ),
    "provisional.title": "Su boleta provisional",
    "provisional.envelope": "Número de sobre",
    "provisional.name": "Nombre",
    "provisional.election": "Elección",
    "provisional.how": "¿Se contó?",
    "provisional.call": (
        "Llame al registro y dé el número de sobre. Le dirán si su boleta se contó y, si no se "
        "contó, por qué. No le cuesta nada."
    ),
    "provisional.when": "Pregunte ahora desde qué día se lo pueden decir. Guarde esta hoja.",
    "provisional.only_you": "Solo usted tiene derecho a esta respuesta: guarde bien el número.",
    "provisional.extended": (
        "Usted votó después de la hora de cierre habitual, en horas que una orden había añadido. "
        "Su boleta se guarda aparte de otras boletas provisionales."
    ),
    "registrar.phone": "Teléfono {phone}",
    "footer": "{county}, precinto {precinct}: {election}",
    "caution": "Deciden la ley local y el registro electoral.",
}

WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType({"en": _ENGLISH, "es": _SPANISH})

_ENGLISH_MONTHS = (
    "January February March April May June July August September October November December"
).split()
_SPANISH_MONTHS = (
    "enero febrero marzo abril mayo junio julio agosto septiembre octubre noviembre diciembre"
).split()
_ENGLISH_DAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()
_SPANISH_DAYS = "lunes martes miércoles jueves viernes sábado domingo".split()


def written_date(day: date, language: Language) -> str:
    """`Tuesday, March 2, 2027`; `martes 2 de marzo de 2027`.

    Not `strftime`: what that writes depends on the computer.
    """
    if language == "es":
        month = _SPANISH_MONTHS[day.month - 1]
        return f"{_SPANISH_DAYS[day.weekday()]} {day.day} de {month} de {day.year}"
    return f"{_ENGLISH_DAYS[day.weekday()]}, {_ENGLISH_MONTHS[day.month - 1]} {day.day}, {day.year}"


def written_time(moment: time, language: Language) -> str:
    """`7:00 a.m.`; `7:00 a. m.`, its parts held together by spaces that do not break."""
    half = "a" if moment.hour < 12 else "p"
    hour = moment.hour % 12 or 12
    ending = f"{half}.\u00a0m." if language == "es" else f"{half}.m."
    return f"{hour}:{moment.minute:02}\u00a0{ending}"
