"""Where the system may write memory to a disk in clear: names and keys with it.

Linux tells it in files; what other systems do with their memory is not looked at here.
"""

from __future__ import annotations

import os
from pathlib import Path

# As the kernel's device mapper names a volume that it encrypts (`dmsetup info`, UUID).
_ENCRYPTED = "CRYPT-"
# Compressed memory, not a disk; but it may be told to write out to one.
_IN_MEMORY = "zram"
# A volume on a volume on a volume: nobody stacks more, and a loop of links must end.
_MOST_LAYERS = 8


def swaps_in_clear(root: Path = Path("/")) -> list[str]:
    """The swap areas in use whose disk is not encrypted, as far as the kernel tells.

    Empty where there is none, and where the system does not say (no `/proc/swaps`).
    """
    try:
        lines = (root / "proc/swaps").read_text(encoding="utf-8").splitlines()[1:]
    except OSError:
        return []
    # A blank in a name is written as its octal number there.
    names = [line.split()[0].replace("\\040", " ") for line in lines if line.split()]
    return [name for name in names if not _is_safe(root, name)]


def _is_safe(root: Path, name: str) -> bool:
    device = _device_of(root, name)
    return device is not None and _is_encrypted(device, _MOST_LAYERS)


def _device_of(root: Path, name: str) -> Path | None:
    """The folder that describes the disk behind a swap area, None where there is none."""
    path = root / name.lstrip("/")
    block = root / "sys/class/block" / path.resolve().name
    if block.exists():
        return block
    try:
        number = path.stat().st_dev
    except OSError:
        return None
    return root / "sys/dev/block" / f"{os.major(number)}:{os.minor(number)}"


def _is_encrypted(device: Path, layers: int) -> bool:
    if device.name.startswith(_IN_MEMORY):
        return _text(device / "backing_dev") in ("", "none")
    if _text(device / "dm/uuid").startswith(_ENCRYPTED):
        return True
    beneath = list((device / "slaves").glob("*")) if layers else []
    return bool(beneath) and all(_is_encrypted(one, layers - 1) for one in beneath)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8").strip()
    except OSError:
        return ""
