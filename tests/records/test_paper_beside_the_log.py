"""Entries of hours on paper that could not follow are named by `verify`."""

from __future__ import annotations

import pytest

from app.records.bodies import DayOpened, SignatureRecorded
from app.records.bodies_paper import (
    CaughtUp,
    PaperBegun,
    PaperCaughtUp,
    PaperRowKeyed,
    PaperRowSettled,
    PaperRowUndone,
)
from app.records.body import Body
from app.records.entry import Actor
from app.records.verify import verify
from app.rules.catching_up import Effect
from tests.records.conftest import Loaded

ACTOR = Actor("w-lead", "LO", "Lead's desk")
SIGNED: Effect = "signed"


def begun(head_seq: int | None = None, head_hash: str | None = None) -> PaperBegun:
    return PaperBegun(
        reason="x", head_seq=head_seq, head_hash=head_hash, from_time="14:10", until_time=""
    )


def keyed(number: int, begun_seq: int, effect: Effect = "waits") -> PaperRowKeyed:
    return PaperRowKeyed(
        begun_seq=begun_seq,
        row_number=number,
        time="14:20",
        page=1,
        order=number,
        effect=effect,
        twice=False,
        details_sha256=None,
    )


def settled(
    number: int, begun_seq: int, keyed_seq: int, effect: Effect = "no_line"
) -> PaperRowSettled:
    return PaperRowSettled(
        begun_seq=begun_seq,
        row_number=number,
        keyed_seq=keyed_seq,
        effect=effect,
        twice=False,
        reason="x",
    )


def undone(number: int, begun_seq: int, keyed_seq: int) -> PaperRowUndone:
    return PaperRowUndone(begun_seq=begun_seq, row_number=number, keyed_seq=keyed_seq, reason="x")


def ended(
    begun_seq: int, lines: int, *, reason: str = "", waiting: int = 0, no_line: int = 0
) -> PaperCaughtUp:
    return PaperCaughtUp(
        begun_seq=begun_seq,
        lines=lines,
        duplicates=0,
        waiting=waiting,
        counted=lines,
        reason=reason,
        no_line=no_line,
    )


def signed(row_seq: int, moved_from: str | None = None) -> SignatureRecorded:
    return SignatureRecorded(
        how="paper",
        strokes_sha256=None,
        ballot_button=1,
        told_apart=None,
        identification=None,
        in_line_at_cut_off=None,
        moved_from=moved_from,
        caught_up=CaughtUp(at="14:20", order=1, page=1, row_seq=row_seq),
    )


# The package is entry 1, the opening 2, the first body 3.
ON_A_LINE = "on a line"


def write(loaded: Loaded, *bodies: tuple[Body, str] | Body) -> None:
    """Each body by itself; with ON_A_LINE on the first line."""
    for number, each in enumerate((DayOpened(), *bodies)):
        body, where = each if isinstance(each, tuple) else (each, "")
        line_id = loaded.lines[0].line_id if where else None
        token = f"paper-token-{number:08}"
        loaded.store.writer.write(
            lambda unit, b=body, t=token, of=line_id: unit.append(ACTOR, t, b, of)
        )


def test_an_hour_that_is_keyed_and_finished_is_in_order(loaded: Loaded) -> None:
    row = (keyed(1, 3, SIGNED), ON_A_LINE)
    rest = (keyed(2, 3), undone(2, 3, 6), ended(3, 1), begun())
    write(loaded, begun(), row, (signed(4), ON_A_LINE), *rest)
    found = loaded.store.read(verify)
    assert found.holds, found.fault


def test_rows_that_the_lead_settled_are_in_order(loaded: Loaded) -> None:
    waited = (keyed(1, 3), keyed(2, 3), keyed(3, 3))
    on_a_line = ((settled(1, 3, 4, SIGNED), ON_A_LINE), (signed(7), ON_A_LINE))
    rest = (settled(2, 3, 5), settled(3, 3, 6), undone(3, 3, 10), ended(3, 2, no_line=1))
    write(loaded, begun(), *waited, *on_a_line, *rest)
    found = loaded.store.read(verify)
    assert found.holds, found.fault


@pytest.mark.parametrize(
    ("bodies", "words"),
    [
        ((begun(), keyed(1, 3), settled(2, 3, 4)), "row 2 does not wait"),
        ((begun(), keyed(1, 3), settled(1, 3, 3)), "row 1 does not wait"),
        ((begun(), keyed(1, 3), settled(1, 3, 4), settled(1, 3, 4)), "row 1 does not wait"),
        ((begun(), keyed(1, 3), undone(1, 3, 4), settled(1, 3, 4)), "row 1 does not wait"),
        ((begun(), keyed(1, 3), settled(1, 3, 4, SIGNED)), "on a line, or without one"),
        ((begun(), keyed(1, 3), (settled(1, 3, 4), ON_A_LINE)), "on a line, or without one"),
        ((begun(), keyed(1, 3), settled(1, 3, 4, "waits")), "on a line, or without one"),
        ((begun(), (keyed(1, 3, "no_line"), ON_A_LINE)), "before the lead settles it"),
        ((begun(), keyed(1, 3), settled(1, 3, 4), undone(1, 3, 4)), "row 1 does not stand"),
        ((begun(), keyed(1, 3), settled(1, 3, 4), ended(3, 1)), "not as many as it says"),
        (
            (begun(), keyed(1, 3), (settled(1, 3, 4, SIGNED), ON_A_LINE), ended(3, 1)),
            "has no signature",
        ),
        ((begun(), begun()), "entry 3 is not caught up"),
        ((begun(1, "0" * 64),), "does not show the log up to entry 1"),
        ((begun(1),), "does not show the log up to entry 1"),
        ((begun(None, "0" * 64),), "does not show the log up to entry None"),
        ((keyed(1, 3),), "no hour on paper of entry 3 is open"),
        ((begun(), keyed(1, 2)), "no hour on paper of entry 2 is open"),
        ((begun(), keyed(2, 3)), "row 2 is not the next one"),
        ((begun(), keyed(1, 3, SIGNED)), "waits, and no other does"),
        ((begun(), (keyed(1, 3), ON_A_LINE)), "waits, and no other does"),
        ((begun(), keyed(1, 3), undone(2, 3, 4)), "row 2 does not stand"),
        ((begun(), keyed(1, 3), undone(1, 3, 3)), "row 1 does not stand"),
        ((begun(), keyed(1, 3), undone(1, 3, 4), undone(1, 3, 4)), "row 1 does not stand"),
        ((begun(), ended(3, 1)), "not as many as it says"),
        ((begun(), keyed(1, 3), ended(3, 1, waiting=1)), "nobody says why"),
        ((begun(), (signed(3), ON_A_LINE)), "entry 3 keyed no such signature"),
        ((begun(), (keyed(1, 3, SIGNED), ON_A_LINE), ended(3, 1)), "has no signature"),
        ((begun(), ended(3, 0), ended(3, 0)), "no hour on paper of entry 3 is open"),
    ],
)
def test_an_entry_that_could_not_follow_is_named(
    loaded: Loaded, bodies: tuple[tuple[Body, str] | Body, ...], words: str
) -> None:
    write(loaded, *bodies)
    found = loaded.store.read(verify)
    assert not found.holds
    assert words in str(found.fault)
