"""What the program finds, as it stands on paper: the sentence of a code, by language.

English is said as everywhere else (`app.rules.day_sentences`).
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from app.papers.words import WORDS, Language
from app.rules.day_sentences import DAY_SENTENCES

_SPANISH = {
    # what is doubted about a machine
    "public-not-zero": "El contador público no está en 0 aunque empieza el día.",
    "protective-not-as-packaged": "El contador protector no es el que dice el paquete.",
    "protective-not-on-screen": (
        "El informe y la pantalla muestran contadores protectores distintos."
    ),
    "zero-report-wrong": "Algo en el informe de ceros no está bien.",
    "counter-went-down": "Un contador está más bajo que cuando se leyó antes. Léalo otra vez.",
    "protective-moved-otherwise": "El contador protector no subió lo mismo que el público.",
    "buttons-do-not-add-up": "Los recuentos de las boletas no suman lo que dice el contador.",
    "serial-unknown": "El paquete no conoce ninguna máquina con este número de serie.",
    "reading-differs": "Las máquinas no han contado tantos como firmaron en la mesa.",
    # what is doubted about a seal
    "seal-seen-elsewhere": "Este número de sello se anotó para otra cosa.",
    "seal-put-on-twice": "Este número de sello ya se había puesto.",
    "seal-not-the-one": "No es el sello que está puesto ahí.",
    "seal-not-on-sheet": "El sello no concuerda con la hoja de sellos.",
    # irregularities that the program opens itself
    "check-failed": "Una comprobación no estaba bien.",
    "opened-before-ready": (
        "Se abrió la votación antes de hacer todas las comprobaciones obligatorias."
    ),
    "closed-with-difference": "Se cerró la votación aunque los recuentos no cuadran.",
    "record-is-older": (
        "Una página vio entradas que este registro no tiene: se puso en su lugar uno más viejo, o "
        "se cortó el final."
    ),
    "stations-not-served": (
        "Después de que esta computadora tomó el relevo, no pudo entrar ningún otro aparato."
    ),
    "paper-newer": "El registro impreso muestra entradas que este registro no tiene.",
    "paper-on-no-line": "El votante firmó en papel y no está aquí en ninguna línea.",
    "steps-not-on-paper": "El papel no muestra un paso que va antes de firmar.",
    # what a signature on paper contradicts
    "paper-and-signed": "El votante firmó en papel, y la línea ya está firmada.",
    "paper-and-marked": "El votante firmó en papel, y una lista dice que ya votó.",
    "paper-and-removed": "El votante firmó en papel, y la línea fue retirada.",
    "paper-and-provisional": "El votante firmó en papel, y se dio una boleta provisional.",
}

# English is said for every code that Spanish is said for.
FOUND_WORDS: Mapping[Language, Mapping[str, str]] = MappingProxyType(
    {"en": {code: DAY_SENTENCES[code] for code in _SPANISH}, "es": _SPANISH}
)


def found_words(code: str, language: Language) -> str:
    """The sentence for `code`; blank for none, and for a code that no paper shows."""
    against = WORDS[language].get(f"proof.against.{code}", "")
    return FOUND_WORDS[language].get(code, "") or against[:1].upper() + against[1:]
