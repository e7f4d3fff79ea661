"""Every sentence of the register pages, by language. In braces stands what is filled in."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.papers.words import Language

_ENGLISH = {
    "title.before": "Register",
    "title.now": "Register as of now",
    "title.supplemental": "Supplemental pages",
    "about": "{county}, precinct {precinct} · {election}, {date}",
    "made": (
        "Printed {date}, {time}, when the day log ended with entry {seq}; its hash begins {hash}"
    ),
    "page": "Page {page} of {pages}",
    "lines": "Lines on these pages: {count}.",
    "none": "There is no line on these pages.",
    "caution": "{caution}",
    "part.supplemental": "Supplemental pages: people added",
    "part.none": "Nobody was added.",
    "taken_back": (
        "Rows keyed by mistake and taken back: {count}. They stand on no page here, and in the "
        "proof of their list."
    ),
    "column.number": "Voter number. Write nothing on the barcode",
    "column.name": "Name and address",
    "column.name.whole": "Name, address, birth date, mother’s maiden name",
    "column.ballot": "Ballot",
    "column.signature": "Signature of the voter",
    "column.initials": "Worker",
    "number.none": "No voter number",
    "number.no_barcode": "No barcode fits here: type the number",
    "born": "born {date}",
    "mother": "mother {name}",
    "address.protected": "Address kept secret",
    "button": "Button\u00a0{button}",
    "assistance": "Assistance\u00a0Y",
    "address_confirmation": "Address confirmation",
    "corrected": "Corrected by the registrar: {details}",
    "part.line.supplemental": "Supplemental list",
    "part.line.affidavit": "Correction affidavit",
    "mark.voted_by_mail": "VOTED BY MAIL",
    "mark.voted_early": "VOTED EARLY",
    "struck": "STRUCK OFF",
    "provisional": "PROVISIONAL BALLOT",
    "signed.paper": "SIGNED ON PAPER",
    "signed.mark": "Mark, witness {witness}",
    "signed.no_mark": "Can make no mark, witness {witness}",
    "left": "LEFT WITHOUT VOTING",
    "source.register.csv": "printed in the register",
    "source.supplemental.csv": "printed on a supplemental page",
    "source.mail-voted.csv": "list of mail voters",
    "source.early-voted.csv": "list of early voters",
    "source.phone-in": "by telephone",
    "envelope": "envelope {envelope}",
    "reason": "Reason: {reason}",
    "detail.last_name": "last name",
    "detail.first_name": "first name",
    "detail.middle_name": "middle name",
    "detail.suffix": "suffix",
    "detail.birth_date": "birth date",
    "detail.mothers_maiden_name": "mother’s maiden name",
    "detail.street_address": "street",
    "detail.city": "city",
    "detail.postal_code": "postal code",
    "detail.party": "party",
    "detail.ballot_button": "ballot button",
    "detail.assistance": "assistance",
}
_SPANISH = {
    "title.before": "Padrón",
    "title.now": "Padrón como está ahora",
    "title.supplemental": "Páginas suplementarias",
    "about": "{county}, precinto {precinct} · {election}, {date}",
    "made": (
        "Impreso el {date}, {time}, cuando el diario del día terminaba con la entrada {seq}; su "
        "hash empieza por {hash}"
    ),
    "page": "Página {page} de {pages}",
    "lines": "Líneas en estas páginas: {count}.",
    "none": "No hay ninguna línea en estas páginas.",
    "caution": "Deciden la ley local y el registro electoral. {caution}",
    "part.supplemental": "Páginas suplementarias: personas añadidas",
    "part.none": "No se añadió a nadie.",
    "taken_back": (
        "Filas registradas por error y anuladas: {count}. No están en ninguna de estas páginas, "
        "sino en el comprobante de su lista."
    ),
    "column.number": "Número. No escriba sobre el código de barras",
    "column.name": "Nombre y dirección",
    "column.name.whole": "Nombre, dirección, nacimiento, apellido de soltera de la madre",
    "column.ballot": "Boleta",
    "column.signature": "Firma de quien vota",
    "column.initials": "Mesa",
    "number.none": "Sin número",
    "number.no_barcode": "No cabe el código de barras: escriba el número",
    "born": "nac. {date}",
    "mother": "madre {name}",
    "address.protected": "Dirección secreta",
    "button": "Botón\u00a0{button}",
    "assistance": "Ayuda\u00a0Y",
    "address_confirmation": "Confirmar dirección",
    "corrected": "Corregido por el registro: {details}",
    "part.line.supplemental": "Lista suplementaria",
    "part.line.affidavit": "Declaración jurada",
    "mark.voted_by_mail": "VOTÓ POR CORREO",
    "mark.voted_early": "VOTÓ ANTICIPADO",
    "struck": "TACHADA",
    "provisional": "BOLETA PROVISIONAL",
    "signed.paper": "FIRMÓ EN PAPEL",
    "signed.mark": "Marca, testigo {witness}",
    "signed.no_mark": "No puede hacer marca, testigo {witness}",
    "left": "SE FUE SIN VOTAR",
    "source.register.csv": "impreso en el padrón",
    "source.supplemental.csv": "impreso en una página suplementaria",
    "source.mail-voted.csv": "lista de votantes por correo",
    "source.early-voted.csv": "lista de votantes anticipados",
    "source.phone-in": "por teléfono",
    "envelope": "sobre {envelope}",
    "reason": "Motivo: {reason}",
    "detail.last_name": "apellido",
    "detail.first_name": "nombre",
    "detail.middle_name": "segundo nombre",
    "detail.suffix": "sufijo",
    "detail.birth_date": "fecha de nacimiento",
    "detail.mothers_maiden_name": "apellido de soltera de la madre",
    "detail.street_address": "calle",
    "detail.city": "ciudad",
    "detail.postal_code": "código postal",
    "detail.party": "partido",
    "detail.ballot_button": "botón de boleta",
    "detail.assistance": "ayuda",
}

REGISTER_WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType(
    {"en": _ENGLISH, "es": _SPANISH}
)
