"""The opening and closing checklists that the sample packages bring.

Common practice of the table, no source: what a place truly requires is for its
law and its registrar to say, and a package of theirs brings its own items.
"""

from __future__ import annotations

from typing import NamedTuple


class Item(NamedTuple):
    code: str
    sentence: str
    required: bool = True


OPENING = (
    Item("oath-taken", "Every worker has taken the oath and signed the oath sheet."),
    Item(
        "safety-walk",
        "Walk the room: cords taped down, mats flat, clutter gone, doors unlocked and free.",
    ),
    Item(
        "ways-in",
        "Ramp, accessible entrance and accessible parking are clear; signs point to them.",
    ),
    Item(
        "machines-placed",
        "Machines stand in sight of the table, screens away from passers-by, none damaged.",
    ),
    Item("machines-powered", "Machines are plugged in, switched on and charging."),
    Item(
        "seals-read",
        "Read every seal aloud, compare it with the seal sheet, and only then break it.",
    ),
    Item(
        "zero-report-printed",
        "Print the zero report of each machine: date and time right, serial and precinct right.",
    ),
    Item("zero-public-counter", "The public counter of each machine reads 0."),
    Item(
        "zero-protective-counter",
        "The protective counter of each machine is read and agrees with the seal sheet.",
    ),
    Item(
        "zero-candidates",
        "Every candidate and every question stands at 0 on the zero report; all workers sign it.",
    ),
    Item(
        "ballots-compared",
        "Compare the ballots three ways: sample ballot, machine, and buttons in the register.",
    ),
    Item(
        "papers-posted",
        "Post the sample ballots, the hours, the voters' rights and the instructions.",
    ),
    Item(
        "keys-sealed", "Machine keys are back in their envelope, sealed, the number written down."
    ),
    Item(
        "register-opened",
        "The seal of the register is read; register and supplemental pages are all there.",
    ),
    Item(
        "late-lists-worked",
        "Mail-voted and early-voted lists that came this morning are worked into the register.",
    ),
    Item(
        "forms-at-table",
        "At the table: address confirmation cards, correction affidavits, provisional ballots, "
        "assistance forms, irregularity sheets.",
    ),
    Item("telephone-tried", "The registrar's number lies at the table and has been tried.", False),
    Item("polls-declared-open", "At the hour, the lead declares the polls open aloud."),
)

CLOSING = (
    Item(
        "last-in-line-marked",
        "At the hour, a worker stands behind the last person in line; all before may vote.",
    ),
    Item("polls-declared-closed", "After the last voter, the lead declares the polls closed."),
    Item("public-counters-read", "Read and write down the public counter of each machine."),
    Item("protective-counters-read", "Read and write down the protective counter of each machine."),
    Item(
        "signatures-counted",
        "Count the signatures and compare them with the public counters; "
        "write up any difference as an irregularity.",
    ),
    Item("result-tapes-signed", "Print the result tapes; all workers sign them."),
    Item(
        "provisional-ballots-counted",
        "Count the provisional ballots unopened, and seal them with their log.",
    ),
    Item(
        "papers-bundled",
        "Bundle address cards, affidavits, assistance forms and irregularity sheets.",
    ),
    Item("machines-sealed", "Machines are off, seals on, the numbers written down."),
    Item(
        "cartridges-bagged", "Cartridges are in their bag, the bag sealed, the number written down."
    ),
    Item("books-sealed", "Register and supplemental pages are sealed, the number written down."),
    Item("keys-returned", "Keys are in their envelope, sealed, to go back with the lead."),
    Item("record-signed", "All workers have signed the record of the day."),
    Item("posted-papers-down", "Posted papers and signs are taken down, the room as found.", False),
)
