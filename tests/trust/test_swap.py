"""Where memory may be written in clear, told from the files in which Linux says it."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from app.trust.swap import swaps_in_clear

pytestmark = pytest.mark.skipif(os.name != "posix", reason="links and device numbers of Linux")

HEAD = "Filename\t\t\t\tType\t\tSize\t\tUsed\t\tPriority\n"


def told(root: Path, *names: str) -> Path:
    (root / "proc").mkdir(exist_ok=True)
    rows = "".join(f"{name} partition\t8388604\t0\t-2\n" for name in names)
    (root / "proc/swaps").write_text(HEAD + rows)
    return root


def device(root: Path, name: str, uuid: str = "", on: tuple[str, ...] = ()) -> None:
    """A disk or volume as the kernel describes it, on other ones."""
    folder = root / "sys/class/block" / name
    (folder / "slaves").mkdir(parents=True)
    if uuid:
        (folder / "dm").mkdir()
        (folder / "dm/uuid").write_text(f"{uuid}\n")
    for one in on:
        (folder / "slaves" / one).symlink_to(root / "sys/class/block" / one)
    (root / "dev").mkdir(exist_ok=True)
    (root / "dev" / name).touch()


def test_nothing_is_said_where_there_is_no_swap_or_the_system_does_not_tell(tmp_path: Path) -> None:
    assert swaps_in_clear(tmp_path) == []
    assert swaps_in_clear(told(tmp_path)) == []


def test_a_plain_partition_is_named(tmp_path: Path) -> None:
    device(tmp_path, "sda2")
    assert swaps_in_clear(told(tmp_path, "/dev/sda2")) == ["/dev/sda2"]


def test_an_encrypted_volume_is_not(tmp_path: Path) -> None:
    device(tmp_path, "sda3")
    device(tmp_path, "dm-1", "CRYPT-PLAIN-swap", on=("sda3",))
    assert swaps_in_clear(told(tmp_path, "/dev/dm-1")) == []


def test_a_volume_on_an_encrypted_one_is_not_and_on_two_disks_both_must_be(tmp_path: Path) -> None:
    device(tmp_path, "sda3")
    device(tmp_path, "dm-0", "CRYPT-LUKS2-x", on=("sda3",))
    device(tmp_path, "dm-1", "LVM-swap", on=("dm-0",))
    device(tmp_path, "dm-2", "LVM-other", on=("dm-0", "sda3"))
    assert swaps_in_clear(told(tmp_path, "/dev/dm-1", "/dev/dm-2")) == ["/dev/dm-2"]


def test_compressed_memory_is_no_disk_unless_it_writes_out_to_one(tmp_path: Path) -> None:
    device(tmp_path, "zram0")
    assert swaps_in_clear(told(tmp_path, "/dev/zram0")) == []
    (tmp_path / "sys/class/block/zram0/backing_dev").write_text("/dev/sda5\n")
    assert swaps_in_clear(told(tmp_path, "/dev/zram0")) == ["/dev/zram0"]


@pytest.mark.parametrize("is_encrypted", [True, False])
def test_a_file_is_as_safe_as_the_disk_that_it_lies_on(tmp_path: Path, is_encrypted: bool) -> None:
    (tmp_path / "swap file").touch()
    number = (tmp_path / "swap file").stat().st_dev
    folder = tmp_path / "sys/dev/block" / f"{os.major(number)}:{os.minor(number)}" / "dm"
    folder.mkdir(parents=True)
    (folder / "uuid").write_text("CRYPT-LUKS2-x" if is_encrypted else "LVM-x")
    found = swaps_in_clear(told(tmp_path, "/swap\\040file"))
    assert found == ([] if is_encrypted else ["/swap file"])


def test_what_cannot_be_found_is_named_rather_than_trusted(tmp_path: Path) -> None:
    assert swaps_in_clear(told(tmp_path, "/dev/gone")) == ["/dev/gone"]
