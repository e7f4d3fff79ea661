"""A sealed bundle holds as it was written; whatever is changed in it is found and named."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from app.desk import handover
from app.desk.bundle_reading import BundleChecked, check_bundle
from app.papers.exports.manifest import MANIFEST
from app.papers.exports.stored_zip import zip_pieces
from app.records import people, queries
from app.records.clock import SystemClock
from app.records.signed_heads import LOG_KEY
from app.records.store import open_store
from tests.api.busy_day import precinct_in, work_the_day
from tests.papers.reading import text_of

Files = dict[str, bytes]


@dataclass(frozen=True)
class Made:
    """The bundle of a busy day; `folder` has its record, closed."""

    data: bytes
    answer: dict[str, Any]
    folder: Path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Made:
    folder = tmp_path_factory.mktemp("busy")
    with precinct_in(folder) as precinct:
        lead = work_the_day(precinct)
        answer = precinct.post(lead, "/api/day/hand-over")
        assert answer.status_code == 200, answer.json()
        data = lead.get("/api/exports/bundle.zip").content
    return Made(data, answer.json(), folder)


@pytest.fixture
def files(made: Made) -> Files:
    with zipfile.ZipFile(io.BytesIO(made.data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture
def check(tmp_path: Path) -> Callable[[bytes], BundleChecked]:
    def checked(data: bytes) -> BundleChecked:
        path = tmp_path / "bundle.zip"
        path.write_bytes(data)
        return check_bundle(path)

    return checked


Check = Callable[[bytes], BundleChecked]


def zipped(files: Files) -> bytes:
    return b"".join(zip_pieces(files))


def resealed(files: Files, **changed: object) -> bytes:
    """With a manifest that fits the files again: a forger's bundle. `changed` is put into it."""
    manifest = json.loads(files[MANIFEST])
    others = {name: data for name, data in sorted(files.items()) if name != MANIFEST}
    manifest["files"] = {
        name: {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        for name, data in others.items()
    }
    text = json.dumps({**manifest, **changed}, ensure_ascii=False, indent=1) + "\n"
    return zipped({MANIFEST: text.encode(), **others})


def fault(found: BundleChecked) -> str:
    assert found.fault is not None
    return found.fault


def test_the_bundle_of_a_busy_day_holds_and_ends_where_the_log_ends(
    made: Made, check: Check
) -> None:
    found = check(made.data)
    assert found.fault is None
    assert found.files == made.answer["files"] == 26
    assert (found.head.seq, found.head.hash) == (made.answer["last_seq"], made.answer["last_hash"])
    assert made.answer["sha256"] == hashlib.sha256(made.data).hexdigest()
    assert made.answer["bytes"] == len(made.data)


def test_every_kind_of_thing_is_in_it(files: Files) -> None:
    kinds = {json.loads(line)["entry"]["kind"] for line in files["day-log.jsonl"].splitlines()}
    assert {
        "signature.recorded", "signature.withdrawn", "voter.left", "assistance.recorded",
        "late_list.applied", "late_list.finished", "line.added", "line.corrected",
        "phone_in.recorded", "provisional.recorded", "provisional.withdrawn",
        "irregularity.recorded", "day.closed",
    } <= kinds  # fmt: skip
    for name in ("personal", "strokes", "lists"):
        assert files[f"record-{name}.jsonl"].count(b"\n") >= 2
    assert len([name for name in files if name.startswith("paper-list-")]) == 1


def test_a_changed_byte_in_any_file_is_found_and_the_file_is_named(
    files: Files, check: Check
) -> None:
    for name, data in files.items():
        for place in {0, len(data) // 3, len(data) // 2, len(data) - 1}:
            changed = bytearray(data)
            changed[place] ^= 1
            found = check(zipped({**files, name: bytes(changed)}))
            assert found.fault, (name, place)
            assert name in found.fault or MANIFEST in (name, found.fault[:13]), found.fault


def test_every_single_byte_of_the_manifest_counts(files: Files, check: Check) -> None:
    data = files[MANIFEST]
    for place in range(0, len(data), 7):
        changed = bytearray(data)
        changed[place] ^= 2
        assert check(zipped({**files, MANIFEST: bytes(changed)})).fault, place


def test_a_changed_byte_anywhere_in_the_zip_is_found(made: Made, check: Check) -> None:
    ends = range(len(made.data) - 2_000, len(made.data), 13)
    for place in [*range(60), *range(60, len(made.data), 499), *ends]:
        changed = bytearray(made.data)
        changed[place] ^= 16
        assert check(bytes(changed)).fault, place


@pytest.mark.parametrize("share", [0.0, 0.1, 0.5, 0.9, 0.999])
def test_half_a_zip_is_refused(made: Made, check: Check, share: float) -> None:
    found = check(made.data[: int(len(made.data) * share)])
    assert fault(found)


def test_a_missing_and_an_extra_file_are_named(files: Files, check: Check) -> None:
    for name in files:
        less = {one: data for one, data in files.items() if one != name}
        assert name in fault(check(zipped(less)))
        if name != MANIFEST:
            assert f"{name} is missing" in fault(check(resealed(less)))
    more = {**files, "notes.csv": b"a,b\r\n"}
    assert "notes.csv is not in MANIFEST.json" in fault(check(zipped(more)))
    assert "notes.csv does not belong" in fault(check(resealed(more)))


def test_two_files_that_changed_places_are_found(files: Files, check: Check) -> None:
    one, other = "paper-assistance.pdf", "paper-provisional.pdf"
    swapped = {**files, one: files[other], other: files[one]}
    assert f"{one} is not the file" in fault(check(zipped(swapped)))


def changed_line(data: bytes, number: int, change: Callable[[dict[str, Any]], object]) -> bytes:
    lines = data.splitlines()
    row = json.loads(lines[number])
    change(row)
    text = json.dumps(row, ensure_ascii=False, separators=(",", ":"), sort_keys=True)
    return b"".join(line + b"\n" for line in [*lines[:number], text.encode(), *lines[number + 1 :]])


def lined(number: int, change: Callable[[dict[str, Any]], object]) -> Callable[[bytes], bytes]:
    return lambda data: changed_line(data, number, change)


def swap(old: bytes, new: bytes) -> Callable[[bytes], bytes]:
    def swapped(data: bytes) -> bytes:
        assert old in data
        return data.replace(old, new, 1)

    return swapped


FORGERIES: list[tuple[str, Callable[[bytes], bytes], str]] = [
    ("day-log.jsonl", lined(4, lambda r: r["entry"].update(station="Table 9")), "entry 5 was"),
    ("day-log.jsonl", lambda d: d.replace(d.splitlines(True)[3], b""), "entry 4"),
    ("day-log.jsonl", lambda d: b"".join(d.splitlines(True)[:-1]), ""),
    ("day-log.jsonl", lambda d: d.replace(b'{"entry"', b'{ "entry"', 1), "canonical"),
    ("day-log.jsonl", lambda d: b"", "package.loaded"),
    ("day-log.jsonl", lambda d: b"[]\n" + d, "line 1"),
    ("record-setting.json", swap(b"555-0142", b"555-0143"), "setting"),
    ("record-workers.json", swap(b'"RM"', b'"XY"'), "the worker of entry"),
    ("record-personal.jsonl", swap(b"Nettlefold", b"Nettlefeld"), "details of entry"),
    ("record-personal.jsonl", lambda d: b"".join(d.splitlines(True)[1:]), "missing"),
    ("record-personal.jsonl", lambda d: d + b'{"details":"x","salt":"y","seq":1}\n', "entry 1 "),
    ("record-personal.jsonl", lambda d: d + d.splitlines(True)[0], "twice"),
    ("record-personal.jsonl", lambda d: d[:-1], "middle of a line"),
    ("record-strokes.jsonl", swap(b"1000,5000", b"1000,5001"), "the drawing of entry"),
    ("record-lists.jsonl", swap(b"Sparemand", b"Sparemanx"), "the rows of the list"),
    ("record-lists.jsonl", lambda d: b"".join(d.splitlines(True)[:1]), "the list of entry"),
    ("record-heads.jsonl", lambda d: b"", "is not signed by this laptop"),
    ("record-heads.jsonl", lambda d: d[:-1], "middle of a line"),
    ("record-heads.jsonl", swap(b'"signature":"', b'"signature":"00'), "the signature of"),
    ("record-heads.jsonl", swap(b'"seq":', b'"number":'), "cannot be read"),
    ("participation.csv", swap(b"100000001,", b"100000009,"), "another voter"),
    ("participation.csv", swap(b"signed", b"left"), "another way"),
    ("participation.csv", swap(b",Table 1,RM,", b",Table 1,TB,"), "not what entry"),
    ("participation.csv", lambda d: b"".join(d.splitlines(True)[:-1]), "is not in it"),
    ("participation.csv", lambda d: d + d.splitlines(True)[1], "there twice"),
    ("participation.csv", swap(b"P-0001", b"P-0009"), "not what entry"),
    ("participation.csv", swap(b"voter_number", b"voter"), "headings"),
    ("participation.json", swap(b'"100000001"', b'"100000009"'), "voters are not those"),
    ("participation.json", lambda d: b"{}", "cannot be read"),
    ("register.csv", swap(b",signed,", b",open,"), "contradicts itself"),
    ("register.csv", swap(b"4 Ropewalk", b"5 Ropewalk"), ""),
    ("register.csv", lambda d: b"".join(d.splitlines(True)[:2]), "as many are not signed"),
    ("events.json", swap(b'"Sequence": "2"', b'"Sequence": "3"'), "are not the entries"),
    ("events.json", swap(b"electronic-poll-book", b"electronic-poll-look"), ""),
    ("events.json", lambda d: b"[" * 100_000, "cannot be read"),
]  # fmt: skip
# Changes of an export that nothing in the log contradicts: only the digests of the manifest, and
# with them the SHA-256 that was read out at the close, show them.
UNSEEN = {("register.csv", ""), ("events.json", "")}


@pytest.mark.parametrize(("name", "forge", "said"), FORGERIES)
def test_a_forger_who_makes_the_manifest_anew_is_found_by_the_log(
    files: Files, check: Check, name: str, forge: Callable[[bytes], bytes], said: str
) -> None:
    forged = {**files, name: forge(files[name])}
    assert forged[name] != files[name]
    assert f"{name} is not the file" in fault(check(zipped(forged)))
    found = check(resealed(forged))
    if (name, said) in UNSEEN:
        assert found.fault is None
    else:
        assert said in fault(found)


@pytest.mark.parametrize(
    "changed",
    [
        {"last_seq": 4},
        {"last_hash": "0" * 64},
        {"made_at": "2027-03-02T20:00:00.000-05:00"},
        {"version": "9.9.9"},
        {"withheld": 3},
        {"form": "another"},
        {"precinct": {"county": "Tern County", "number": "4-08"}},
        {"note": "all is well"},
    ],
)
def test_what_the_manifest_says_beside_the_digests_is_held_against_the_files(
    files: Files, check: Check, changed: dict[str, object]
) -> None:
    assert fault(check(resealed(files, **changed))) == (
        "MANIFEST.json: it does not say what the files say"
    )


def test_a_bundle_that_was_packed_again_says_so(files: Files, check: Check) -> None:
    again = io.BytesIO()
    with zipfile.ZipFile(again, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    assert "packed again" in fault(check(again.getvalue()))


def member(files: Files, name: str, data: bytes, **about: Any) -> bytes:
    """The bundle with one more member, of whatever kind."""
    file = io.BytesIO(zipped(files))
    with zipfile.ZipFile(file, "a", about.pop("method", zipfile.ZIP_STORED)) as archive:
        info = zipfile.ZipInfo(name)
        info.compress_type = archive.compression
        for key, value in about.items():
            setattr(info, key, value)
        archive.writestr(info, data)
    return file.getvalue()


@pytest.mark.parametrize(
    ("name", "about", "said"),
    [
        ("../day-log.jsonl", {}, "plain file name"),
        ("/etc/day.csv", {}, "plain file name"),
        ("C:\\day.csv", {}, "plain file name"),
        ("papers/day.csv", {}, "files side by side"),
        ("program.exe", {}, "program.exe"),
        ("inner.zip", {}, "inner.zip"),
        ("link.csv", {"external_attr": 0o120777 << 16}, "expected: a file"),
        (".DS_Store", {}, "packed again"),
    ],
)
def test_a_zip_that_would_lead_elsewhere_is_refused(
    files: Files, check: Check, name: str, about: dict[str, Any], said: str
) -> None:
    assert said in fault(check(member(files, name, b"x", **about)))


@pytest.mark.filterwarnings("ignore:Duplicate name")
def test_two_files_of_one_name_are_refused(files: Files, check: Check) -> None:
    found = check(member(files, "register.csv", b"x"))
    assert "each name once" in fault(found)


def test_a_zip_that_swells_is_refused_before_it_fills_the_memory(
    files: Files, check: Check
) -> None:
    bomb = member(files, "bomb.csv", bytes(30_000_000), method=zipfile.ZIP_DEFLATED)
    assert "bomb.csv" in fault(check(bomb))
    assert "times the packed size" in fault(check(bomb))


def test_sizes_that_a_zip_makes_up_are_not_believed(made: Made, check: Check) -> None:
    """The directory's entry of the manifest, with 4 GB written into it as size."""
    at = made.data.index(b"PK\x01\x02")
    huge = bytearray(made.data)
    huge[at + 20 : at + 28] = b"\xff" * 8
    assert fault(check(bytes(huge)))


def test_more_members_than_any_bundle_has_are_refused_unread(files: Files, check: Check) -> None:
    crowd = {**files, **{f"paper-list-{n}.pdf": b"" for n in range(500)}}
    assert "at most 400 files" in fault(check(zipped(crowd)))


@pytest.mark.parametrize("data", [b"", b"PK", b"%PDF-1.7", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_bundle_is_refused_in_words(check: Check, data: bytes) -> None:
    assert fault(check(data))


def test_a_folder_or_nothing_is_no_bundle(tmp_path: Path) -> None:
    assert "there is no file" in fault(check_bundle(tmp_path))
    assert "there is no file" in fault(check_bundle(tmp_path / "gone.zip"))


def test_the_closing_certificate_in_it_shows_the_last_hash_and_the_difference(
    made: Made, files: Files
) -> None:
    said = text_of(files["paper-closing.pdf"])
    assert made.answer["last_hash_in_fours"] in said
    assert "Signatures on printed lines 5" in said
    assert "there are no machines in this test" in said
    assert "THE POLLS ARE NOT CLOSED" not in said
    assert "Worker LO" in said


def test_nothing_secret_leaves_with_it(made: Made, files: Files) -> None:
    """PINs, the secret of spoken codes, the log's private key, secrets of browsers, blank forms."""
    everything = b"".join(files.values())
    with open_store(f"sqlite:///{made.folder.as_posix()}/day.db", SystemClock()) as store:
        private = store.read(lambda connection: queries.about_text(connection, LOG_KEY))
    assert private
    assert private.encode() not in everything
    assert b"argon2" not in everything
    assert b"07" * 32 not in everything
    assert "paper-affidavit-form.pdf" not in files
    assert "paper-register.pdf" not in files
    assert b"record-sign" not in everything


def test_the_same_day_gives_the_same_bytes_at_the_same_time(made: Made) -> None:
    from datetime import UTC, datetime

    from app.desk.roster import open_roster
    from app.papers.made import Form

    moment = datetime(2027, 3, 3, 2, 0, tzinfo=UTC)
    written = []
    with open_roster(f"sqlite:///{made.folder.as_posix()}/day.db") as roster:
        for name in ("one.zip", "other.zip"):
            target = made.folder / name
            done = handover.hand_over(roster, made.folder, moment, Form(), target)
            assert isinstance(done, handover.HandedOver)
            written.append(target.read_bytes())
    assert written[0] == written[1]
    assert check_bundle(made.folder / "one.zip").fault is None


def test_an_entry_written_meanwhile_is_in_the_bundle_or_it_is_made_again(
    made: Made, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from datetime import UTC, datetime

    from app.desk.roster import open_roster
    from app.papers.made import Form
    from app.records.bodies import WorkerSignedOff
    from app.records.entry import Actor

    shutil.copy(made.folder / "day.db", tmp_path / "day.db")
    files, seen = handover._files, []

    def disturbed(roster: Any, *rest: Any) -> Any:
        found = files(roster, *rest)
        seen.append(found[1].seq)
        if len(seen) == 1:
            lead = roster.store.read(lambda c: people.find_worker(c, "LO"))
            actor = Actor(lead.worker_id, "LO", "Table 1")
            roster.store.writer.write(lambda u: u.append(actor, "x" * 20, WorkerSignedOff()))
        return found

    monkeypatch.setattr(handover, "_files", disturbed)
    with open_roster(f"sqlite:///{tmp_path.as_posix()}/day.db") as roster:
        done = handover.hand_over(roster, tmp_path, datetime.now(UTC), Form())
    assert isinstance(done, handover.HandedOver)
    assert seen == [done.head.seq - 1, done.head.seq]
    assert check_bundle(done.path).head == done.head


def test_any_program_can_unpack_it(made: Made) -> None:
    with zipfile.ZipFile(io.BytesIO(made.data)) as archive:
        assert archive.testzip() is None
        assert archive.namelist()[0] == MANIFEST
        assert {info.date_time for info in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
