"""Every sentence of the check of the day before, by language; in braces what is filled in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.papers.words import Language

_ENGLISH = {
    "title": "Check of the day before",
    "made": "Printed {date}, {time}, from the package; nothing of any record was changed",
    "warning": "READ WHAT IS SAID OF THE RECORD BEFORE YOU SIGN",
    "lead": (
        "Compare every line with what the registrar sent or said, by noon of the day before. "
        "Whatever differs is written under Remarks, and the registrar is called."
    ),
    "place": "Election and place",
    "election": "Election",
    "date": "Election day",
    "hours": "Polls open",
    "from_to": "{opens} to {closes}",
    "federal": "Federal election",
    "yes": "yes",
    "no": "no",
    "precinct": "Precinct",
    "polling_place": "Polling place",
    "registrar": "Registrar",
    "phone_secret": "Secret for spoken codes in the package",
    "doubts": "To be looked at",
    "no_doubts": "Nothing stands out. Compare all the same.",
    "doubt.record-differs": "THE RECORD LOADED HERE IS NOT OF THIS PACKAGE: see under Files.",
    "doubt.record-practice": "THE RECORD LOADED HERE IS A PRACTICE RECORD: nothing in it counts.",
    "doubt.record-unreadable": "The record here could not be read, and was not compared.",
    "doubt.not-vouched": "No manifest lists the files: ask the registrar for their digests.",
    "doubt.ballot-for-nobody": "A ballot is on no line: see under Ballot buttons.",
    "doubt.marked-twice": "A line says voted by mail and voted early: call the registrar about it.",
    "doubt.no-marks": "No line is marked as voted by mail or early: is a list still to come?",
    "doubt.no-machines": "No machine is listed, and the signatures are counted against machines.",
    "lines": "Lines",
    "part.register": "In the register",
    "part.supplemental": "On supplemental pages",
    "part.all": "In all",
    "marks": "Voted by mail, voted early",
    "mark": "Mark",
    "mark.voted_by_mail": "voted by mail",
    "mark.voted_early": "voted early",
    "source": "From the file",
    "count": "Marks",
    "announced": "Total on the registrar's own list",
    "none": "None.",
    "marks_in_all": "Marks in all: {count}. Lines with both marks: {twice}.",
    "buttons": "Ballot buttons",
    "button": "Button",
    "one_ballot": "one for all",
    "style": "Ballot",
    "contests": "Contests",
    "no_contests": "not listed",
    "no_ballots_line": "Lines whose button is no ballot's: 0.",
    "notes": "Notes on lines",
    "note.assistance": "Assistance Y",
    "note.address_confirmation": "Address confirmation",
    "note.inactive": "Inactive",
    "note.first_time_by_mail": "First time, registered by mail",
    "note.address_protected": "Address kept secret",
    "note.elsewhere": "People of other precincts, to send them there",
    "note.checks_opening": "Checks of the opening",
    "note.checks_closing": "Checks of the close",
    "machines": "Machines",
    "serial": "Serial number",
    "protective": "Protective counter, as the registrar states it",
    "on_machine": "Read on the machine",
    "files": "Files",
    "file": "File",
    "digest": "SHA-256",
    "vouched": "The manifest lists every file, and every digest agrees.",
    "not_vouched": "There is no manifest: nothing vouches for these files.",
    "compared.none": "No record is loaded here yet.",
    "compared.same": (
        "A record is loaded here, and it is of this package: election, precinct and every file "
        "are the same."
    ),
    "compared.differs": (
        "A record is loaded here, and it is NOT of this package. Different: {what}."
    ),
    "compared.practice": "The record loaded here is a practice record: nothing in it counts.",
    "compared.unreadable": (
        "There is a record here that could not be read, and was not compared. One that is "
        "encrypted is compared by: tablebook rehearse PACKAGE --check-only"
    ),
    "what.election": "the election",
    "what.precinct": "the precinct",
    "remarks": "Remarks",
    "signed_by": "Signed by two people",
    "statement": "We compared this with what the registrar sent, and wrote down what differs.",
    "name": "Name",
    "signature": "Signature",
    "signed_at": "Date and time",
}
_SPANISH = {
    "title": "Comprobación de la víspera",
    "made": "Impreso el {date}, {time}, a partir del paquete; no se cambió ningún diario",
    "warning": "LEA LO QUE SE DICE DEL DIARIO ANTES DE FIRMAR",
    "lead": (
        "Compare cada renglón con lo que envió o dijo el registro electoral, antes del mediodía "
        "de la víspera. Lo que no coincida se anota en Observaciones y se llama al registro."
    ),
    "place": "Elección y lugar",
    "election": "Elección",
    "date": "Día de la elección",
    "hours": "Horario de votación",
    "from_to": "de {opens} a {closes}",
    "federal": "Elección federal",
    "yes": "sí",
    "no": "no",
    "precinct": "Recinto electoral",
    "polling_place": "Lugar de votación",
    "registrar": "Registro electoral",
    "phone_secret": "Secreto para códigos hablados en el paquete",
    "doubts": "Lo que hay que mirar",
    "no_doubts": "Nada llama la atención. Compare de todos modos.",
    "doubt.record-differs": "EL DIARIO CARGADO AQUÍ NO ES DE ESTE PAQUETE: vea Archivos.",
    "doubt.record-practice": "EL DIARIO CARGADO AQUÍ ES DE PRÁCTICA: nada en ella cuenta.",
    "doubt.record-unreadable": "El diario que hay aquí no se pudo leer, y no se comparó.",
    "doubt.not-vouched": "Ningún manifiesto enumera los archivos: pida sus sumas al registro.",
    "doubt.ballot-for-nobody": "Una boleta no está en ninguna línea: vea Botones de boleta.",
    "doubt.marked-twice": (
        "Una línea dice que votó por correo y que votó temprano: llame al registro electoral."
    ),
    "doubt.no-marks": "Ninguna línea dice que votó por correo o temprano: ¿falta una lista?",
    "doubt.no-machines": "No hay ninguna máquina, y las firmas se comparan con las máquinas.",
    "lines": "Líneas",
    "part.register": "En el registro",
    "part.supplemental": "En las páginas suplementarias",
    "part.all": "En total",
    "marks": "Votó por correo, votó temprano",
    "mark": "Marca",
    "mark.voted_by_mail": "votó por correo",
    "mark.voted_early": "votó temprano",
    "source": "Del archivo",
    "count": "Marcas",
    "announced": "Total en la lista del propio registro",
    "none": "Ninguna.",
    "marks_in_all": "Marcas en total: {count}. Líneas con las dos marcas: {twice}.",
    "buttons": "Botones de boleta",
    "button": "Botón",
    "one_ballot": "una para todos",
    "style": "Boleta",
    "contests": "Contiendas",
    "no_contests": "sin enumerar",
    "no_ballots_line": "Líneas cuyo botón no es de ninguna boleta: 0.",
    "notes": "Notas en las líneas",
    "note.assistance": "Asistencia Y",
    "note.address_confirmation": "Confirmación de domicilio",
    "note.inactive": "Inactivo",
    "note.first_time_by_mail": "Primera vez, inscrito por correo",
    "note.address_protected": "Domicilio secreto",
    "note.elsewhere": "Personas de otros recintos, para enviarlas allí",
    "note.checks_opening": "Comprobaciones de la apertura",
    "note.checks_closing": "Comprobaciones del cierre",
    "machines": "Máquinas",
    "serial": "Número de serie",
    "protective": "Contador de protección, según el registro",
    "on_machine": "Leído en la máquina",
    "files": "Archivos",
    "file": "Archivo",
    "digest": "SHA-256",
    "vouched": "El manifiesto enumera todos los archivos, y todas las sumas coinciden.",
    "not_vouched": "No hay manifiesto: nada responde de estos archivos.",
    "compared.none": "Aquí no hay todavía ningún diario cargado.",
    "compared.same": (
        "Aquí hay un diario cargado y es de este paquete: la elección, el recinto y todos los "
        "archivos son los mismos."
    ),
    "compared.differs": "Aquí hay un diario cargado y NO es de este paquete. Es distinto: {what}.",
    "compared.practice": "El diario cargado aquí es de práctica: nada en ella cuenta.",
    "compared.unreadable": (
        "Hay aquí un diario que no se pudo leer, y no se comparó. Uno cifrado se compara con: "
        "tablebook rehearse PACKAGE --check-only"
    ),
    "what.election": "la elección",
    "what.precinct": "el recinto",
    "remarks": "Observaciones",
    "signed_by": "Firman dos personas",
    "statement": "Hemos comparado esto con lo que envió el registro, y anotado lo que difiere.",
    "name": "Nombre",
    "signature": "Firma",
    "signed_at": "Fecha y hora",
}
DAY_BEFORE_WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType(
    {"en": MappingProxyType(_ENGLISH), "es": MappingProxyType(_SPANISH)}
)
