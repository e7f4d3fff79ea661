"""One writer: groups, savepoints, tokens, and what is said when the disk fails."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from concurrent.futures import Future

import pytest
from sqlalchemy.exc import OperationalError

from app.records import queries, writer
from app.records.entry import Entry
from app.records.fold import DoesNotFit
from app.records.unit import Unit
from app.records.verify import verify
from app.rules.faults import OutcomeUnknown, TokenReused
from tests.database_server import ON_BOTH
from tests.records.conftest import PAPER, ROSA, Loaded

pytestmark = ON_BOTH


def count(loaded: Loaded) -> int:
    return loaded.store.read(queries.head).seq


def test_an_entry_and_the_state_of_its_line_move_together(loaded: Loaded) -> None:
    loaded.sign(0)
    state = loaded.store.read(lambda c: queries.stored_state(c, loaded.lines[0].line_id))
    assert state.version == 1
    assert state.state.signature is not None
    assert state.state.signature.station == "Table 1"


def test_two_threads_that_sign_one_line_get_one_signature(loaded: Loaded) -> None:
    line_id = loaded.lines[0].line_id
    barrier = threading.Barrier(2)
    results: list[object] = []

    def sign(token: str) -> None:
        barrier.wait()
        try:
            results.append(
                loaded.store.writer.write(lambda unit: unit.append(ROSA, token, PAPER, line_id))
            )
        except DoesNotFit as lost:
            results.append(lost)

    threads = [threading.Thread(target=sign, args=(f"token-number-{n:06}",)) for n in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(type(result).__name__ for result in results) == ["DoesNotFit", "Entry"]
    assert loaded.store.read(verify).holds


def test_a_request_that_fails_in_a_group_undoes_only_itself(loaded: Loaded) -> None:
    gate = threading.Event()
    held = loaded.store.writer.submit(lambda _unit: gate.wait())

    def fail(unit: Unit) -> None:
        unit.append(ROSA, "token-of-the-failing", PAPER, loaded.lines[1].line_id)
        raise ValueError("no")

    before = count(loaded)
    good = [_submit(loaded, place) for place in (0, 2)]
    bad = loaded.store.writer.submit(fail)
    after = _submit(loaded, 3)
    gate.set()
    held.result()
    assert [future.result().seq for future in (*good, after)] == [before + n for n in (1, 2, 3)]
    with pytest.raises(ValueError, match="no"):
        bad.result()
    untouched = loaded.store.read(lambda c: queries.stored_state(c, loaded.lines[1].line_id))
    assert untouched.version == 0
    assert loaded.store.read(verify).holds


def _submit(loaded: Loaded, place: int) -> Future[Entry]:
    line_id = loaded.lines[place].line_id
    token = f"token-for-line-{place:04}"
    return loaded.store.writer.submit(lambda unit: unit.append(ROSA, token, PAPER, line_id))


def test_a_token_answers_with_its_entry_and_never_with_another_action(loaded: Loaded) -> None:
    loaded.sign(0, "the-same-token-twice")
    said = PAPER.model_dump(mode="json")
    line_id = loaded.lines[0].line_id

    def again(unit: Unit) -> Entry | None:
        return unit.already("the-same-token-twice", PAPER.kind, line_id, **said)

    entry = loaded.store.writer.write(again)
    assert entry is not None
    assert entry.seq == count(loaded)
    for other in (
        lambda u: u.already("the-same-token-twice", PAPER.kind, loaded.lines[1].line_id, **said),
        lambda u: u.already("the-same-token-twice", "signature.withdrawn", line_id),
        lambda u: u.already("the-same-token-twice", PAPER.kind, line_id, how="drawn"),
    ):
        with pytest.raises(TokenReused):
            loaded.store.writer.write(other)


def test_when_a_commit_fails_the_answer_is_neither_yes_nor_no_and_the_token_settles_it(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The failure strikes before the commit reaches the disk: asked again, it is recorded."""
    _fail_once(monkeypatch)
    before = count(loaded)
    with pytest.raises(OutcomeUnknown):
        loaded.sign(0, "token-of-the-unknown")
    assert count(loaded) == before
    loaded.sign(0, "token-of-the-unknown")
    assert count(loaded) == before + 1
    assert loaded.store.read(verify).holds


def test_nobody_in_the_group_of_a_failed_commit_hears_yes_or_no(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    started, gate = threading.Event(), threading.Event()

    def hold(_unit: Unit) -> None:
        started.set()
        gate.wait()

    held = loaded.store.writer.submit(hold)
    started.wait()
    futures = [_submit(loaded, place) for place in range(3)]
    _fail_once(monkeypatch)
    gate.set()
    held.result()
    for future in futures:
        with pytest.raises(OutcomeUnknown):
            future.result()


def _fail_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make the next transaction fail as a full or broken disk does."""
    real = writer.Writer._commit
    failures = iter([OperationalError("COMMIT", {}, OSError("disk I/O error"))])

    def failing(self: writer.Writer, group: Sequence[writer._Request]) -> list[Entry]:
        error = next(failures, None)
        if error:
            raise error
        return real(self, group)

    monkeypatch.setattr(writer.Writer, "_commit", failing)


def test_a_commit_that_failed_after_it_was_durable_is_found_by_its_token(
    loaded: Loaded, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = writer.Writer._commit

    def commit_then_fail(self: writer.Writer, group: Sequence[writer._Request]) -> list[Entry]:
        real(self, group)
        raise OperationalError("COMMIT", {}, OSError("disk I/O error"))

    monkeypatch.setattr(writer.Writer, "_commit", commit_then_fail)
    with pytest.raises(OutcomeUnknown):
        loaded.sign(0, "token-of-the-unknown")
    monkeypatch.setattr(writer.Writer, "_commit", real)
    said = PAPER.model_dump(mode="json")
    found = loaded.store.writer.write(
        lambda unit: unit.already(
            "token-of-the-unknown", PAPER.kind, loaded.lines[0].line_id, **said
        )
    )
    assert found is not None
    assert found.seq == count(loaded)


def test_what_was_queued_before_closing_is_still_written(loaded: Loaded) -> None:
    futures = [_submit(loaded, place) for place in range(5)]
    loaded.store.close()
    assert [future.result().seq for future in futures] == [2, 3, 4, 5, 6]
