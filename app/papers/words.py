"""Every sentence on a paper, by language. In braces stands what is filled in.

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
    # the proof of a list on paper, read at arm's length: capitals where colour would be used
    "proof.title": "Proof of a list worked on paper",
    "proof.title_unfinished": "Proof of a list worked on paper: NOT FINISHED",
    "proof.unfinished": "NOT FINISHED",
    "proof.unfinished_means": "More rows may follow, and rows here may still be taken back.",
    "proof.dropped": "It was put aside. Nothing of it was keyed.",
    "proof.list": "List",
    "proof.kind.mail_voted": "Voters who voted by mail",
    "proof.kind.early_voted": "Voters who voted early",
    "proof.kind.supplemental": "Supplemental pages: people added",
    "proof.kind.removals": "People taken off the register",
    "proof.total": "Rows printed on the paper",
    "proof.count": "Rows keyed and counted",
    "proof.agree": "The two numbers agree.",
    "proof.differ": "THE TWO NUMBERS DIFFER by {difference}.",
    "proof.why": "Why they differ",
    "proof.sum": "All rows keyed",
    "proof.part.did.mail_voted": "{n} marked voted by mail",
    "proof.part.did.early_voted": "{n} marked voted early",
    "proof.part.did.supplemental": "{n} added",
    "proof.part.did.removals": "{n} taken off the register",
    "proof.part.already": "{n} stood there already",
    "proof.part.not_found": "{n} on no line",
    "proof.part.left_off": "{n} left off by decision",
    "proof.part.waits": "{n} NOT SETTLED",
    "proof.part.undone": "{n} taken back, not counted",
    "proof.begun": "Begun",
    "proof.finished": "Finished",
    "proof.by": "{date}, {time}, {initials}",
    "proof.keyed_by": "Keyed by",
    "proof.log": "Rests on the day log",
    "proof.log_entries": (
        "entries {first} to {last}. When this was made the log ended with entry {seq}, "
        "whose hash begins {hash}."
    ),
    "proof.row": "Row",
    "proof.number": "Voter number",
    "proof.name": "Name",
    "proof.done": "What was done",
    "proof.when": "When",
    "proof.initials": "By",
    "proof.none": "No row was keyed.",
    "proof.did.mark.mail_voted": "Voted by mail",
    "proof.did.mark.early_voted": "Voted early",
    "proof.did.remove": "Taken off",
    "proof.did.add": "Added",
    "proof.did.already": "Stood there already",
    "proof.did.already.supplemental": "Already registered",
    "proof.did.not_found": "On no line",
    "proof.did.not_found.supplemental": "Could not be added",
    "proof.did.settle": "Nothing by itself",
    "proof.twice": "The paper has this row twice.",
    "proof.contradicts": "CONTRADICTION: {what}",
    "proof.written_up": "Written up as an irregularity.",
    "proof.waits": "NOT SETTLED: the lead has to decide.",
    "proof.settled": "Settled at {time} by {initials}: {what}",
    "proof.settled.line": "it is the person who is on the line already.",
    "proof.settled.add": "somebody else, added to the register.",
    "proof.settled.refuse": "left off. Reason: {reason}",
    "proof.undone": "TAKEN BACK at {time} by {initials}, not counted. Reason: {reason}",
    "proof.against.signed-already": "the line is signed, and the list says otherwise.",
    "proof.against.marked-otherwise": "the line says that the voter voted in another way.",
    "proof.against.marked-twice": "the line has the same mark from another list.",
    "proof.against.marked-already": "the line says that the voter voted, and the list removes it.",
    "proof.against.removed-already": "the line was removed, and the list speaks of it.",
    "proof.against.provisional-given": "a provisional ballot was given on this line.",
    "proof.against.on-a-line-already": "the person is on a line already.",
    "proof.against.number-taken": "the voter number is somebody else's here.",
    "proof.signature": "Signature of the lead",
    "proof.signed_at": "Date and time",
    "proof.page": "Page {page} of {pages}",
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
    "proof.title": "Comprobante de una lista trabajada en papel",
    "proof.title_unfinished": "Comprobante de una lista trabajada en papel: NO TERMINADA",
    "proof.unfinished": "NO TERMINADA",
    "proof.unfinished_means": "Pueden faltar filas, y las que hay todavía se pueden anular.",
    "proof.dropped": "Se apartó. No se registró nada de ella.",
    "proof.list": "Lista",
    "proof.kind.mail_voted": "Personas que votaron por correo",
    "proof.kind.early_voted": "Personas que votaron por anticipado",
    "proof.kind.supplemental": "Páginas suplementarias: personas añadidas",
    "proof.kind.removals": "Personas retiradas del padrón",
    "proof.total": "Filas impresas en el papel",
    "proof.count": "Filas registradas y contadas",
    "proof.agree": "Los dos números coinciden.",
    "proof.differ": "LOS DOS NÚMEROS DIFIEREN en {difference}.",
    "proof.why": "Por qué difieren",
    "proof.sum": "Todas las filas",
    "proof.part.did.mail_voted": "{n} marcadas: votó por correo",
    "proof.part.did.early_voted": "{n} marcadas: votó por anticipado",
    "proof.part.did.supplemental": "{n} añadidas",
    "proof.part.did.removals": "{n} retiradas del padrón",
    "proof.part.already": "{n} ya estaban así",
    "proof.part.not_found": "{n} en ninguna línea",
    "proof.part.left_off": "{n} dejadas fuera por decisión",
    "proof.part.waits": "{n} SIN RESOLVER",
    "proof.part.undone": "{n} anuladas, no cuentan",
    "proof.begun": "Empezada",
    "proof.finished": "Terminada",
    "proof.by": "{date}, {time}, {initials}",
    "proof.keyed_by": "Registrada por",
    "proof.log": "Se basa en el diario del día",
    "proof.log_entries": (
        "entradas {first} a {last}. Al hacer esta hoja, el diario terminaba con la entrada {seq}, "
        "cuyo hash empieza por {hash}."
    ),
    "proof.row": "Fila",
    "proof.number": "Número",
    "proof.name": "Nombre",
    "proof.done": "Qué se hizo",
    "proof.when": "Hora",
    "proof.initials": "Por",
    "proof.none": "No se registró ninguna fila.",
    "proof.did.mark.mail_voted": "Votó por correo",
    "proof.did.mark.early_voted": "Votó anticipado",
    "proof.did.remove": "Retirada",
    "proof.did.add": "Añadida",
    "proof.did.already": "Ya estaba así",
    "proof.did.already.supplemental": "Ya en el padrón",
    "proof.did.not_found": "En ninguna línea",
    "proof.did.not_found.supplemental": "No se pudo añadir",
    "proof.did.settle": "Nada por sí sola",
    "proof.twice": "El papel tiene esta fila dos veces.",
    "proof.contradicts": "CONTRADICCIÓN: {what}",
    "proof.written_up": "Anotada como irregularidad.",
    "proof.waits": "SIN RESOLVER: tiene que decidir la persona encargada.",
    "proof.settled": "Resuelta a las {time} por {initials}: {what}",
    "proof.settled.line": "es la persona que ya está en la línea.",
    "proof.settled.add": "es otra persona, añadida al padrón.",
    "proof.settled.refuse": "dejada fuera. Motivo: {reason}",
    "proof.undone": "ANULADA a las {time} por {initials}, no cuenta. Motivo: {reason}",
    "proof.against.signed-already": "la línea está firmada, y la lista dice otra cosa.",
    "proof.against.marked-otherwise": "la línea dice que votó de otra manera.",
    "proof.against.marked-twice": "la línea tiene la misma marca de otra lista.",
    "proof.against.marked-already": "la línea dice que votó, y la lista la retira.",
    "proof.against.removed-already": "la línea fue retirada, y la lista habla de ella.",
    "proof.against.provisional-given": "en esta línea se dio una boleta provisional.",
    "proof.against.on-a-line-already": "la persona ya está en una línea.",
    "proof.against.number-taken": "ese número es aquí de otra persona.",
    "proof.signature": "Firma de la persona encargada",
    "proof.signed_at": "Fecha y hora",
    "proof.page": "Página {page} de {pages}",
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
