"""Rebuilding files as they could stand after a power cut at any point of a recording.

The model: a write is durable once its file was synced after it. Of the writes since
the last sync any subset may have reached the disk, each in whole or torn at a
512-byte sector; an unlink is durable once the folder was synced after it. Which
subset is drawn with a seeded generator, so that a failure repeats.
"""

from __future__ import annotations

import random
import struct
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

HEAD = struct.Struct("=cQQQ")
SECTOR = 512

# The name of the folder that is recorded.
FOLDER = "run"


@dataclass(frozen=True)
class Event:
    kind: str  # O open, W write, T truncate, S sync, U unlink
    file: int
    offset: int
    data: bytes


@dataclass
class Disk:
    """One file: what is surely on the disk, and what is on its way."""

    name: str
    durable: bytearray = field(default_factory=bytearray)
    on_the_way: list[Event] = field(default_factory=list)
    is_unlinked: bool = False

    def after_power_cut(self, chance: random.Random) -> bytes:
        """One way the file may stand: none, all or some of what was on its way arrived."""
        image = bytearray(self.durable)
        share = chance.choice([0.0, 0.3, 0.7, 1.0])
        for event in self.on_the_way:
            if chance.random() < share:
                _apply(image, _torn(event, chance))
        return bytes(image)

    def sync(self) -> None:
        for event in self.on_the_way:
            _apply(self.durable, event)
        self.on_the_way.clear()


@dataclass(frozen=True)
class Crash:
    """The files as they may stand at one point, and the tokens acknowledged before it."""

    point: int
    files: dict[str, bytes]
    acknowledged: tuple[str, ...]


def read_recording(path: Path) -> list[Event]:
    data = path.read_bytes()
    events, place = [], 0
    while place < len(data):
        kind, file, offset, length = HEAD.unpack_from(data, place)
        place += HEAD.size
        events.append(Event(kind.decode(), file, offset, data[place : place + length]))
        place += length
    return events


def crashes(events: list[Event], points: int, seed: int) -> Iterator[Crash]:
    """`points` crashes spread over the recording, in order."""
    chance = random.Random(seed)
    chosen = set(chance.sample(range(len(events)), min(points, len(events))))
    folder = _Folder()
    for place, event in enumerate(events):
        folder.happen(event)
        if place in chosen:
            yield Crash(place, folder.after_power_cut(chance), tuple(folder.acknowledged))


class _Folder:
    """The recorded folder. Its file `acknowledged` is the stations' own view, not crashed."""

    def __init__(self) -> None:
        self.acknowledged: list[str] = []
        self._disks: dict[int, Disk] = {}
        self._folder: int | None = None

    def happen(self, event: Event) -> None:
        if event.kind == "O":
            self._open(event)
        elif event.kind == "U":
            self._disks[event.file].is_unlinked = True
        elif event.kind == "S" and event.file == self._folder:
            self._disks = {file: disk for file, disk in self._disks.items() if not disk.is_unlinked}
        elif event.kind == "S":
            self._disks[event.file].sync()
        elif self._disks[event.file].name == "acknowledged":
            self.acknowledged.extend(event.data.decode().split())
        else:
            self._disks[event.file].on_the_way.append(event)

    def after_power_cut(self, chance: random.Random) -> dict[str, bytes]:
        """The files as they may stand, by name."""
        return {
            disk.name: disk.after_power_cut(chance)
            for disk in self._disks.values()
            # The index of the write-ahead log is rebuilt at open and never synced.
            if not disk.name.endswith("-shm") and not (disk.is_unlinked and chance.random() < 0.5)
        }

    def _open(self, event: Event) -> None:
        name = Path(event.data.decode()).name
        is_new = event.file not in self._disks or self._disks[event.file].is_unlinked
        if name == FOLDER:
            self._folder = event.file
        elif is_new:
            self._disks[event.file] = Disk(name)


def _torn(event: Event, chance: random.Random) -> Event:
    """Now and then only the first sectors of a write arrive."""
    sectors = len(event.data) // SECTOR
    if event.kind != "W" or sectors < 2 or chance.random() > 0.1:
        return event
    kept = chance.randrange(1, sectors) * SECTOR
    return Event(event.kind, event.file, event.offset, event.data[:kept])


def _apply(image: bytearray, event: Event) -> None:
    if event.kind == "T":
        del image[event.offset :]
        image.extend(b"\0" * (event.offset - len(image)))
        return
    end = event.offset + len(event.data)
    image.extend(b"\0" * (end - len(image)))
    image[event.offset : end] = event.data
