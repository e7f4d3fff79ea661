"""A small disk of its own, a file mounted as a file system, that can be filled to the last byte."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest

from _running_server import Day, make_day

NEEDS_MOUNT = pytest.mark.skipif(
    sys.platform != "linux" or os.geteuid() != 0 or shutil.which("mkfs.ext4") is None,
    reason="needs Linux, root and mkfs.ext4 to mount a small disk",
)
MEGABYTE = 1 << 20


@contextmanager
def small_disk(folder: Path, megabytes: int = 24) -> Iterator[Path]:
    """The place where it is mounted. Skips the test where mounting is not allowed."""
    image, place = _image_of(folder / "disk"), folder / "disk"
    place.mkdir()
    with image.open("wb") as file:
        file.truncate(megabytes * MEGABYTE)
    subprocess.run(["mkfs.ext4", "-q", "-m", "0", str(image)], check=True)
    with _mounted(place):
        yield place


@contextmanager
def mounted_again(disk: Path) -> Iterator[None]:
    """The disk repaired and writable for the block; it is not in use, and was read-only."""
    subprocess.run(["umount", str(disk)], check=True)
    subprocess.run(["fsck.ext4", "-y", str(_image_of(disk))], capture_output=True, check=False)
    with _mounted(disk):
        yield
    # As `small_disk` left it, so that it has something to take away.
    subprocess.run(["mount", "-o", _OPTIONS, str(_image_of(disk)), str(disk)], check=True)


def day_on(disk: Path) -> Day:
    """A loaded day on the disk. It is loaded elsewhere: so small a disk is refused."""
    elsewhere = disk.with_name("loaded")
    elsewhere.mkdir()
    day = make_day(elsewhere)
    for file in elsewhere.iterdir():
        shutil.move(file, disk)
    # A record that was loaded there would be durable.
    os.sync()
    return replace(day, url=f"sqlite:///{(disk / 'day.db').as_posix()}")


def turn_read_only(disk: Path) -> None:
    """What the kernel does with a disk that has an error: nobody can write to it any more."""
    device = subprocess.run(
        ["findmnt", "-n", "-o", "SOURCE", str(disk)], capture_output=True, text=True, check=True
    ).stdout.strip()
    trigger = Path("/sys/fs/ext4") / Path(device).name / "trigger_fs_error"
    if not trigger.exists():
        pytest.skip("this kernel has no way to make a disk fail")
    trigger.write_text("a fault made by a test")


_OPTIONS = "loop,errors=remount-ro"


def _image_of(disk: Path) -> Path:
    return disk.with_suffix(".img")


@contextmanager
def _mounted(place: Path) -> Iterator[None]:
    mounted = subprocess.run(
        ["mount", "-o", _OPTIONS, str(_image_of(place)), str(place)],
        capture_output=True,
        text=True,
        check=False,
    )
    if mounted.returncode:
        pytest.skip(f"a small disk cannot be mounted here: {mounted.stderr.strip()}")
    try:
        yield
    finally:
        # Lazy: a process that was killed may still hold a file for a moment.
        subprocess.run(["umount", "-l", str(place)], check=True)


def fill(disk: Path, leaving: int = 0) -> Path:
    """Fill the disk but for `leaving` bytes; answers the file that does it."""
    path = disk / "filling"
    room = shutil.disk_usage(disk).free - leaving
    descriptor = os.open(path, os.O_WRONLY | os.O_CREAT)
    try:
        while room > 0:
            room -= os.write(descriptor, bytes(min(room, 64 * 1024)))
    except OSError:
        pass  # as full as it gets
    finally:
        os.close(descriptor)
    return path
