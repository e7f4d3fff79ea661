"""What is said in the exercises of a practice day, by language.

Under the code of an exercise: its title, who comes and what they `says`, and `why`, read once it
has ended. In braces stands what is filled in: `first`, `last`, `born`, `number`,
`address`, `envelope`.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

_ENGLISH = {
    "plain.title": "Nothing special",
    "plain.says": "Says: “{first} {last}, {address}.” Shows nothing unless asked.",
    "plain.why": (
        "The first name and last name are enough to find the line. It says Sign, so the voter "
        "signs and gets the ballot."
    ),
    "number.title": "A card with a number",
    "number.says": (
        "Speaks too softly to be heard, and hands over a card. It says {number} and nothing else "
        "that can be read."
    ),
    "number.why": (
        "The voter number goes into the same box as a name. Say the name of the line aloud before "
        "the voter signs."
    ),
    "sound.title": "A name as it sounds",
    "sound.says": "Says: “Cathrin {last}.” When asked: born {born}. Shows nothing unless asked.",
    "sound.why": (
        "Names are found as they sound too. A spelling that differs a little stops nobody."
    ),
    "alike.title": "Two of one name",
    "alike.says": "Says: “{first} {last}.” When asked: born {born}. Shows nothing unless asked.",
    "alike.why": (
        "Two lines have this name. The birth date that the voter says decides, never the one that "
        "you read out."
    ),
    "twin.title": "Twins",
    "twin.says": "Says: “{last}, born {born}.” When asked for the first name: {first}.",
    "twin.why": "Twins have one birth date. Only the first name tells them apart: ask for it.",
    "card.title": "A card first",
    "card.says": "Says: “{first} {last}.” Completes every paper that you ask for.",
    "card.why": (
        "The line asks for an address confirmation. The card is completed and recorded first; then "
        "the voter signs."
    ),
    "helper.title": "Somebody helps",
    "helper.says": (
        "Says: “{first} {last}. My neighbour Thistle Helper comes into the booth with me.” The "
        "helper is neither from work nor from a union, and signs."
    ),
    "helper.why": (
        "Assistance is printed on the line. The helper is named and signs before the voter does."
    ),
    "inactive.title": "Still at the same address",
    "inactive.says": (
        "Says: “{first} {last}. I have not moved, I live at {address} as before.” Signs whatever "
        "affirms it."
    ),
    "inactive.why": (
        "A notice to this voter was not answered. Who affirms the address signs like everybody "
        "else."
    ),
    "mailed.title": "Voted by mail, says the line",
    "mailed.says": (
        "Says: “{first} {last}. I never sent anything back, I want to vote here.” The registrar "
        "cannot be reached. Takes whatever may be had. Envelope: {envelope}."
    ),
    "mailed.why": (
        "Only the registrar can lift the mark, so nobody signs here. The person still leaves with "
        "a provisional ballot where this election has them, or with a reason written down."
    ),
    "early.title": "Only wants to be sure",
    "early.says": (
        "Says: “{first} {last}. I voted on Saturday. Did it arrive?” On hearing that it did, wants "
        "no ballot of any kind and goes home."
    ),
    "early.why": (
        "Nobody signs, and no second ballot is given. Why the person left is written down."
    ),
    "contradiction.title": "The lists contradict each other",
    "contradiction.says": (
        "Says: “{first} {last}. I have voted nowhere yet.” The registrar cannot be reached. Takes "
        "whatever may be had. Envelope: {envelope}."
    ),
    "contradiction.why": (
        "Two lists say different things, and nobody at the table can know which is right: call the "
        "registrar. Until then a provisional ballot, not a signature."
    ),
    "supplemental.title": "Registered last week",
    "supplemental.says": (
        "Says: “{first} {last}. I registered last week.” Shows nothing unless asked."
    ),
    "supplemental.why": (
        "People who were added stand on the supplemental pages. The same box finds them, and they "
        "sign there."
    ),
    "signed.title": "Signed already, says the line",
    "signed.says": (
        "Says: “{first} {last}. I have only just come in.” The registrar cannot be reached. Takes "
        "whatever may be had. Envelope: {envelope}."
    ),
    "signed.why": (
        "The line has a signature. Perhaps somebody signed on the wrong line: the lead looks at "
        "it. The person does not sign again, and does not leave with nothing."
    ),
    "date.title": "A birth date that is on no line",
    "date.says": (
        "Says: “{first} {last}.” When asked: born July 19, 1985, and is sure of it. Then remembers "
        "an errand, wants no ballot today, and leaves."
    ),
    "date.why": (
        "Neither line has that birth date, so nobody signs on either. Why the person left is "
        "written down."
    ),
    "elsewhere.title": "Another polling place",
    "elsewhere.says": (
        "Says: “{first} {last}. I am registered and may vote.” Is glad to go to another polling "
        "place, if that is the right one."
    ),
    "elsewhere.why": (
        "The list of the other precincts knows the person. They are told where to go and get the "
        "slip."
    ),
    "nobody.title": "On no list at all",
    "nobody.says": (
        "Says: “{first} {last}, born {born}. I am registered and may vote.” The registrar cannot "
        "be reached. Takes whatever may be had. Envelope: {envelope}."
    ),
    "nobody.why": (
        "Whoever says that they are registered and may vote is never sent away with nothing: a "
        "provisional ballot where this election has them (52 U.S.C. 21082(a)), or a reason written "
        "down."
    ),
    # what went wrong, by the codes of `app.rules.practice_judging`
    "fault.signed-on-another-line": (
        "Somebody else's line was signed. Before the pen is handed over, say the name on the line "
        "aloud."
    ),
    "fault.signed-who-must-not": (
        "A line was signed that was not to be signed. Read the large words and the sentence under "
        "them first."
    ),
    "fault.recorded-otherwise": (
        "The right thing was recorded with another line, or with another answer. Look at it once "
        "more before you record it."
    ),
    "fault.needless": "Something was recorded that this person did not need.",
    "fault.needless-provisional-recorded": (
        "A provisional ballot was given to somebody who needed none."
    ),
    "fault.needless-person-directed": (
        "It was written down that the person left without a ballot, and they had a right to more."
    ),
    "fault.missing-signature-recorded": "The voter had a right to sign, and did not.",
    "fault.missing-address-confirmed": "The address card was not recorded.",
    "fault.missing-assistance-recorded": "Who helps was not written down.",
    "fault.missing-provisional-recorded": (
        "The person left without the provisional ballot that they could have had."
    ),
    "fault.missing-person-directed": (
        "Where the person was sent, or why they left, was not written down."
    ),
}
_SPANISH = {
    "plain.title": "Nada especial",
    "plain.says": "Dice: «{first} {last}, {address}». No muestra nada si no se le pide.",
    "plain.why": (
        "Bastan el nombre y el apellido para hallar la línea. Dice Firmar: firma y recibe su "
        "boleta."
    ),
    "number.title": "Una tarjeta con número",
    "number.says": (
        "Habla tan bajo que no se le oye, y entrega una tarjeta. Dice {number} y nada más que se "
        "pueda leer."
    ),
    "number.why": (
        "El número de votante se escribe en la misma casilla que un nombre. Diga en voz alta el "
        "nombre de la línea antes de que firme."
    ),
    "sound.title": "Un nombre como suena",
    "sound.says": (
        "Dice: «Cathrin {last}». Si se le pregunta: fecha de nacimiento, {born}. No muestra nada "
        "si no se le pide."
    ),
    "sound.why": (
        "Los nombres se hallan también como suenan. Una grafía algo distinta no detiene a nadie."
    ),
    "alike.title": "Dos con el mismo nombre",
    "alike.says": (
        "Dice: «{first} {last}». Si se le pregunta: fecha de nacimiento, {born}. No muestra nada "
        "si no se le pide."
    ),
    "alike.why": (
        "Dos líneas tienen este nombre. Decide la fecha de nacimiento que dice la persona, nunca "
        "la que usted lee."
    ),
    "twin.title": "Gemelos",
    "twin.says": (
        "Dice: «{last}, fecha de nacimiento, {born}». Si se le pregunta el nombre: {first}."
    ),
    "twin.why": (
        "Los gemelos tienen la misma fecha de nacimiento. Solo el nombre los distingue: pregúntelo."
    ),
    "card.title": "Primero una tarjeta",
    "card.says": "Dice: «{first} {last}». Completa cualquier papel que usted le pida.",
    "card.why": (
        "La línea pide confirmar el domicilio. Primero se completa y se anota la tarjeta; después "
        "firma."
    ),
    "helper.title": "Alguien ayuda",
    "helper.says": (
        "Dice: «{first} {last}. Mi vecino Thistle Helper entra conmigo en la cabina». El ayudante "
        "no es del trabajo ni de un sindicato, y firma."
    ),
    "helper.why": (
        "La asistencia está impresa en la línea. El ayudante da su nombre y firma antes que el "
        "votante."
    ),
    "inactive.title": "Sigue en el mismo domicilio",
    "inactive.says": (
        "Dice: «{first} {last}. No me he mudado, vivo en {address} como antes». Firma lo que haga "
        "falta para afirmarlo."
    ),
    "inactive.why": (
        "Un aviso a esta persona quedó sin respuesta. Quien afirma su domicilio firma como todos."
    ),
    "mailed.title": "Votó por correo, dice la línea",
    "mailed.says": (
        "Dice: «{first} {last}. Nunca devolví nada, quiero votar aquí». No se puede hablar con el "
        "registrador. Acepta lo que se le pueda dar. Sobre: {envelope}."
    ),
    "mailed.why": (
        "Solo el registrador puede levantar la marca, así que nadie firma aquí. La persona se "
        "lleva una boleta provisional donde la haya, o un motivo por escrito."
    ),
    "early.title": "Solo quiere estar segura",
    "early.says": (
        "Dice: «{first} {last}. Voté el sábado. ¿Ha llegado?». Al oír que sí, no quiere ninguna "
        "boleta y se va a casa."
    ),
    "early.why": "Nadie firma, y no se da una segunda boleta. Se anota por qué se fue.",
    "contradiction.title": "Las listas se contradicen",
    "contradiction.says": (
        "Dice: «{first} {last}. No he votado en ningún sitio». No se puede hablar con el "
        "registrador. Acepta lo que se le pueda dar. Sobre: {envelope}."
    ),
    "contradiction.why": (
        "Dos listas dicen cosas distintas, y nadie en la mesa puede saber cuál es cierta: llame al "
        "registrador. Hasta entonces, una boleta provisional, no una firma."
    ),
    "supplemental.title": "Se inscribió la semana pasada",
    "supplemental.says": (
        "Dice: «{first} {last}. Me inscribí la semana pasada». No muestra nada si no se le pide."
    ),
    "supplemental.why": (
        "Las personas añadidas están en las páginas suplementarias. La misma casilla las halla, y "
        "firman allí."
    ),
    "signed.title": "Ya firmó, dice la línea",
    "signed.says": (
        "Dice: «{first} {last}. Acabo de llegar». No se puede hablar con el registrador. Acepta lo "
        "que se le pueda dar. Sobre: {envelope}."
    ),
    "signed.why": (
        "La línea tiene una firma. Quizá alguien firmó en la línea equivocada: lo mira el "
        "responsable. La persona no vuelve a firmar, y no se va sin nada."
    ),
    "date.title": "Una fecha que no está en ninguna línea",
    "date.says": (
        "Dice: «{first} {last}». Si se le pregunta: nació el 19 de julio de 1985, sin duda. Luego "
        "recuerda un recado, no quiere ninguna boleta hoy y se va."
    ),
    "date.why": (
        "Ninguna de las dos líneas tiene esa fecha, así que nadie firma en ellas. Se anota por qué "
        "se fue."
    ),
    "elsewhere.title": "Otro lugar de votación",
    "elsewhere.says": (
        "Dice: «{first} {last}. Estoy en el registro y puedo votar». Va con gusto a otro lugar de "
        "votación, si es el suyo."
    ),
    "elsewhere.why": (
        "La lista de los otros recintos conoce a la persona. Se le dice adónde ir y se le da el "
        "papel."
    ),
    "nobody.title": "En ninguna lista",
    "nobody.says": (
        "Dice: «{first} {last}, fecha de nacimiento, {born}. Estoy en el registro y puedo votar». "
        "No se puede hablar con el registrador. Acepta lo que se le pueda dar. Sobre: "
        "{envelope}."
    ),
    "nobody.why": (
        "A quien dice que está en el registro y puede votar nunca se le despide sin nada: una "
        "boleta provisional donde la haya (52 U.S.C. 21082(a)), o un motivo por escrito."
    ),
    "fault.signed-on-another-line": (
        "Se firmó la línea de otra persona. Antes de dar la pluma, diga en voz alta el nombre de "
        "la línea."
    ),
    "fault.signed-who-must-not": (
        "Se firmó una línea que no debía firmarse. Lea primero las palabras grandes y la frase de "
        "debajo."
    ),
    "fault.recorded-otherwise": (
        "Se anotó lo correcto en otra línea, o con otra respuesta. Mírelo otra vez antes de "
        "anotarlo."
    ),
    "fault.needless": "Se anotó algo que esta persona no necesitaba.",
    "fault.needless-provisional-recorded": (
        "Se dio una boleta provisional a quien no la necesitaba."
    ),
    "fault.needless-person-directed": (
        "Se anotó que la persona se fue sin boleta, y tenía derecho a más."
    ),
    "fault.missing-signature-recorded": "La persona tenía derecho a firmar, y no firmó.",
    "fault.missing-address-confirmed": "No se anotó la tarjeta del domicilio.",
    "fault.missing-assistance-recorded": "No se anotó quién ayuda.",
    "fault.missing-provisional-recorded": (
        "La persona se fue sin la boleta provisional que podía recibir."
    ),
    "fault.missing-person-directed": "No se anotó adónde se envió a la persona, o por qué se fue.",
}
ENGLISH: Mapping[str, str] = MappingProxyType(_ENGLISH)
SPANISH: Mapping[str, str] = MappingProxyType(_SPANISH)
PRACTICE_WORDS: Mapping[str, Mapping[str, str]] = MappingProxyType({"en": ENGLISH, "es": SPANISH})
