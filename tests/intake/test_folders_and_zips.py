"""Hostile and broken folders and zips: each is refused with its reason, and nothing is unpacked."""

from __future__ import annotations

import io
import os
import stat
import struct
import tracemalloc
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from app.intake.fault_codes import Code
from app.intake.faults import Fault
from app.intake.package import read_package
from app.intake.shelf import FILE_BYTES, MAX_FILES
from tests.intake.packing import expect_faults, good_files, spots, write_folder, write_zip


def read_zip_of(
    members: list[tuple[zipfile.ZipInfo | str, bytes]], path: Path
) -> tuple[Fault, ...]:
    """The faults of a zip that has these members besides a good package."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in good_files().items():
            archive.writestr(name, data)
        for member, data in members:
            archive.writestr(member, data)
    return expect_faults(read_package(path))


def test_a_path_where_nothing_is(tmp_path: Path) -> None:
    faults = expect_faults(read_package(tmp_path / "gone.zip"))
    assert spots(faults) == [("gone.zip", None, None, Code.PACKAGE_NOT_FOUND)]


def test_a_path_that_no_file_can_have() -> None:
    assert expect_faults(read_package(Path("tern\0.zip")))[0].code is Code.CANNOT_BE_READ


def test_a_path_that_is_a_device() -> None:
    assert expect_faults(read_package(Path(os.devnull)))[0].code is Code.NOT_A_PACKAGE


def test_a_file_that_is_no_zip(tmp_path: Path) -> None:
    path = tmp_path / "register.csv"
    path.write_bytes(good_files()["register.csv"])
    assert expect_faults(read_package(path))[0].code is Code.NOT_A_PACKAGE


def test_an_empty_folder_names_both_files_that_it_needs(tmp_path: Path) -> None:
    assert spots(expect_faults(read_package(tmp_path))) == [
        ("election.toml", None, None, Code.MISSING_FILE),
        ("register.csv", None, None, Code.MISSING_FILE),
    ]


def test_a_misspelled_file_is_never_passed_over_and_its_right_name_is_shown(tmp_path: Path) -> None:
    files = good_files()
    files["Mail-Voted.CSV"] = files.pop("mail-voted.csv")
    files["suplemental.csv"] = files.pop("supplemental.csv")
    files["early-voted.xlsx"] = b"PK\x03\x04"
    faults = expect_faults(read_package(write_folder(files, tmp_path / "package")))
    unknown = {fault.file: fault.expected for fault in faults if fault.code is Code.UNKNOWN_FILE}
    assert set(unknown) == {"Mail-Voted.CSV", "suplemental.csv", "early-voted.xlsx"}
    assert "mail-voted.csv" in unknown["Mail-Voted.CSV"]
    assert "supplemental.csv" in unknown["suplemental.csv"]
    assert "early-voted.csv" in unknown["early-voted.xlsx"]


def test_a_folder_inside_the_folder(tmp_path: Path) -> None:
    folder = write_folder(good_files(), tmp_path / "package")
    (folder / "old").mkdir()
    assert spots(expect_faults(read_package(folder))) == [
        ("old", None, None, Code.UNEXPECTED_FOLDER)
    ]


def test_a_link_in_a_folder_is_not_followed(tmp_path: Path) -> None:
    files = good_files()
    (tmp_path / "elsewhere.csv").write_bytes(files.pop("supplemental.csv"))
    folder = write_folder(files, tmp_path / "package")
    (folder / "supplemental.csv").symlink_to(tmp_path / "elsewhere.csv")
    # early-voted.csv names a number of that list: no second fault for it.
    assert spots(expect_faults(read_package(folder))) == [
        ("supplemental.csv", None, None, Code.LINK_REFUSED)
    ]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes on this system")
def test_a_pipe_in_a_folder_does_not_make_the_reading_wait(tmp_path: Path) -> None:
    folder = write_folder(good_files(), tmp_path / "package")
    (folder / "register.csv").unlink()
    os.mkfifo(folder / "register.csv")
    assert expect_faults(read_package(folder))[0].code is Code.LINK_REFUSED


def test_a_folder_of_photographs(tmp_path: Path) -> None:
    files = {f"{number}.jpg": b"" for number in range(MAX_FILES + 1)}
    faults = expect_faults(read_package(write_folder(files, tmp_path / "photographs")))
    assert [fault.code for fault in faults] == [Code.TOO_MANY_FILES]


def test_a_file_beyond_its_limit_is_not_read(tmp_path: Path) -> None:
    files = good_files()
    files["election.toml"] += b"#" * FILE_BYTES["election.toml"]
    faults = expect_faults(read_package(write_folder(files, tmp_path / "package")))
    assert spots(faults) == [("election.toml", None, None, Code.FILE_TOO_LARGE)]


def test_files_that_together_are_beyond_the_limit(tmp_path: Path) -> None:
    folder = write_folder(good_files(), tmp_path / "package")
    for name in ("mail-voted.csv", "early-voted.csv"):
        with (folder / name).open("r+b") as file:
            file.truncate(FILE_BYTES[name])  # sparse: takes no room on the disk
    codes = {(fault.file, fault.code) for fault in expect_faults(read_package(folder))}
    assert ("mail-voted.csv", Code.PACKAGE_TOO_LARGE) in codes


@pytest.mark.parametrize(
    "name",
    [
        "../register.csv",
        "tern/../../register.csv",
        "/etc/register.csv",
        "C:register.csv",
        "C:/register.csv",
        "..\\register.csv",
        "tern\\register.csv",
        "./register.csv",
        "tern//register.csv",
        "register.csv\x1b[2J",
        "register\u202evsc.csv",
        "..",
    ],
)
def test_a_name_in_a_zip_that_could_lead_out_of_the_package(name: str, tmp_path: Path) -> None:
    faults = read_zip_of([(name, b"x")], tmp_path / "tern.zip")
    assert [fault.code for fault in faults] == [Code.UNSAFE_NAME]
    assert faults[0].file.isprintable()
    assert [path.name for path in tmp_path.iterdir()] == ["tern.zip"]


def test_a_link_in_a_zip(tmp_path: Path) -> None:
    files = good_files()
    del files["supplemental.csv"], files["early-voted.csv"]
    path = write_zip(files, tmp_path / "tern.zip")
    link = zipfile.ZipInfo("early-voted.csv")
    link.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr(link, "/etc/passwd")
    assert spots(expect_faults(read_package(path))) == [
        ("early-voted.csv", None, None, Code.LINK_REFUSED)
    ]


def test_a_zip_inside_the_zip_is_not_opened(tmp_path: Path) -> None:
    inner = io.BytesIO()
    with zipfile.ZipFile(inner, "w") as archive:
        archive.writestr("register.csv", good_files()["register.csv"])
    faults = read_zip_of([("inner.zip", inner.getvalue())], tmp_path / "tern.zip")
    assert spots(faults) == [("inner.zip", None, None, Code.NESTED_ARCHIVE)]
    files = good_files() | {"register.csv": inner.getvalue()}
    faults = expect_faults(read_package(write_zip(files, tmp_path / "other.zip")))
    assert spots(faults) == [("register.csv", None, None, Code.NESTED_ARCHIVE)]


def test_two_files_of_one_name_in_a_zip(tmp_path: Path) -> None:
    with pytest.warns(UserWarning, match="Duplicate name"):
        faults = read_zip_of([("register.csv", b"x")], tmp_path / "tern.zip")
    assert spots(faults) == [("register.csv", None, None, Code.DUPLICATE_FILE)]


@pytest.mark.parametrize("name", ["old/register.csv", "a/b/register.csv", "old/"])
def test_files_in_several_folders_of_a_zip(name: str, tmp_path: Path) -> None:
    faults = read_zip_of([(name, b"")], tmp_path / "tern.zip")
    assert [fault.code for fault in faults] == [Code.UNEXPECTED_FOLDER]


def test_a_zip_with_a_password(tmp_path: Path) -> None:
    path = write_zip(good_files(), tmp_path / "tern.zip")
    data = bytearray(path.read_bytes())
    entry = data.rindex(b"PK\x01\x02", 0, data.index(b"register.csv", data.index(b"PK\x01\x02")))
    data[entry + 8] |= 0x1
    path.write_bytes(data)
    faults = expect_faults(read_package(path))
    assert ("register.csv", None, None, Code.ZIP_ENCRYPTED) in spots(faults)


@pytest.mark.parametrize("method", [zipfile.ZIP_BZIP2, zipfile.ZIP_LZMA])
def test_a_zip_packed_in_another_way(method: int, tmp_path: Path) -> None:
    path = tmp_path / "tern.zip"
    with zipfile.ZipFile(path, "w", method) as archive:
        for name, data in good_files().items():
            archive.writestr(name, data)
    assert {fault.code for fault in expect_faults(read_package(path))} == {Code.ZIP_METHOD}


@pytest.fixture
def most_memory_bytes() -> Iterator[list[int]]:
    """Filled after the test body has called `tracemalloc`; small files must stay small."""
    tracemalloc.start()
    most: list[int] = []
    yield most
    tracemalloc.stop()


def bomb(path: Path, size: int) -> Path:
    files = good_files()
    del files["register.csv"]
    write_zip(files, path)
    with (
        zipfile.ZipFile(path, "a", zipfile.ZIP_DEFLATED) as archive,
        archive.open("register.csv", "w") as member,
    ):
        for _ in range(size // 1_000_000):
            member.write(b"0" * 1_000_000)
    return path


def test_a_small_zip_that_grows_a_thousandfold_is_refused_in_little_memory(
    tmp_path: Path, most_memory_bytes: list[int]
) -> None:
    path = bomb(tmp_path / "tern.zip", 200_000_000)
    assert path.stat().st_size < 300_000
    tracemalloc.reset_peak()
    faults = expect_faults(read_package(path))
    assert spots(faults) == [("register.csv", None, None, Code.ZIP_SWELLS)]
    assert tracemalloc.get_traced_memory()[1] < 20_000_000


def test_a_zip_that_lies_about_its_size_is_refused_in_little_memory(
    tmp_path: Path, most_memory_bytes: list[int]
) -> None:
    path = bomb(tmp_path / "tern.zip", 20_000_000)
    data = bytearray(path.read_bytes())
    place = 0
    while (place := data.find(struct.pack("<L", 20_000_000), place)) >= 0:
        data[place : place + 4] = struct.pack("<L", 900_000)
    path.write_bytes(data)
    tracemalloc.reset_peak()
    faults = expect_faults(read_package(path))
    assert spots(faults) == [("register.csv", None, None, Code.ZIP_DAMAGED)]
    assert tracemalloc.get_traced_memory()[1] < 20_000_000


def test_a_zip_of_a_hundred_thousand_names_is_refused_before_they_are_read(tmp_path: Path) -> None:
    path = tmp_path / "tern.zip"
    entry = b"PK\x01\x02" + bytes(24) + struct.pack("<H", 1) + bytes(16) + b"x"
    directory = entry * 60_000
    end = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 3, 3, len(directory), 4, 0)
    path.write_bytes(b"PK\x03\x04" + directory + end)
    assert [fault.code for fault in expect_faults(read_package(path))] == [Code.TOO_MANY_FILES]


def test_a_zip_with_a_64_bit_end_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = write_zip(good_files(), tmp_path / "tern.zip")
    data = path.read_bytes()
    path.write_bytes(data[:-22] + b"PK\x06\x07" + bytes(16) + data[-22:])
    assert [fault.code for fault in expect_faults(read_package(path))] == [Code.ZIP_METHOD]


def test_a_zip_cut_short_anywhere_is_refused_whole(tmp_path: Path) -> None:
    data = write_zip(good_files(), tmp_path / "whole.zip").read_bytes()
    path = tmp_path / "cut.zip"
    for size in range(0, len(data), max(1, len(data) // 100)):
        path.write_bytes(data[:size])
        expected = {Code.ZIP_DAMAGED, Code.NOT_A_PACKAGE}
        assert {fault.code for fault in expect_faults(read_package(path))} <= expected


def test_a_directory_that_swallows_its_last_entry_does_not_lose_a_list(tmp_path: Path) -> None:
    path = write_zip(good_files(), tmp_path / "tern.zip")
    data = bytearray(path.read_bytes())
    last = data.rindex(b"PK\x01\x02")
    length = len(data) - 22 - last
    before = data.rindex(b"PK\x01\x02", 0, last)
    data[before + 32 : before + 34] = struct.pack("<H", length)  # said to be its comment
    path.write_bytes(data)
    with zipfile.ZipFile(path) as archive:
        assert len(archive.namelist()) == len(good_files()) - 1
    assert spots(expect_faults(read_package(path))) == [("tern.zip", None, None, Code.ZIP_DAMAGED)]


def test_a_flipped_byte_in_a_file_of_the_zip_is_noticed(tmp_path: Path) -> None:
    path = write_zip(good_files(), tmp_path / "tern.zip")
    data = bytearray(path.read_bytes())
    data[data.index(b"register.csv") + 40] ^= 0xFF
    path.write_bytes(data)
    faults = expect_faults(read_package(path))
    assert ("register.csv", None, None, Code.ZIP_DAMAGED) in spots(faults)


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = write_folder(good_files(), tmp_path / "package")
    really_open = os.open

    def refuse(path: str, flags: int) -> int:
        if path.endswith("register.csv"):
            raise PermissionError(13, "Permission denied", path)
        return really_open(path, flags)

    # Not chmod: whoever runs the tests as root may read everything.
    monkeypatch.setattr("app.intake.sources.os.open", refuse)
    faults = expect_faults(read_package(folder))
    assert spots(faults) == [("register.csv", None, None, Code.CANNOT_BE_READ)]
    assert faults[0].found == "Permission denied"
    assert str(tmp_path) not in str(faults[0])


@pytest.mark.skipif(os.name != "posix", reason="only there may a name be any bytes")
def test_a_file_name_that_is_no_text(tmp_path: Path) -> None:
    folder = write_folder(good_files(), tmp_path / "package")
    (folder / os.fsdecode(b"register\xff.csv")).write_bytes(b"x")
    (fault,) = expect_faults(read_package(folder))
    assert fault.code is Code.UNKNOWN_FILE
    str(fault).encode()
