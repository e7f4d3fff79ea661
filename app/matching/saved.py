"""A register kept in a file, ready to be used without its lines.

What is written holds names, birth dates and addresses in clear. Where the database is encrypted
at rest it must be sealed, or not be written at all: that is for the caller to see to, who
therefore gives an open file and says nothing about why.
"""

from __future__ import annotations

import json
from functools import lru_cache
from hashlib import blake2b
from importlib.metadata import version
from importlib.resources import files
from typing import Any, BinaryIO

import numpy as np
from numpy.typing import NDArray

from app import __version__
from app.matching.arrays import Arrays
from app.matching.register import Register

# How the file is laid out; the last byte counts the layouts.
_MAGIC = b"roster index \x00\x00\x01"
_CHECK_BYTES = 32
_LENGTH_BYTES = 8
# Wide enough for the largest numbers, and where a line of the processor's cache begins.
_ALIGNED = 64


def save_register(register: Register, digest: str, file: BinaryIO) -> None:
    """Write `register`, made of lines that `digest` (hex) stands for, from where `file` is.

    Only writes: a file beside the target, and putting it in its place, are the caller's.
    """
    arrays = register.arrays()
    table = [[name, one.dtype.str, one.shape] for name, one in arrays.items()]
    header = json.dumps({"made_by": _made_by(), "digest": digest, "arrays": table}).encode()
    check = blake2b(digest_size=_CHECK_BYTES)
    length = len(header).to_bytes(_LENGTH_BYTES, "little")
    pieces: list[bytes | memoryview] = [_MAGIC, length, header, *map(_bytes_of, arrays.values())]
    for piece in pieces:
        file.write(piece)
        check.update(piece)
        filling = bytes(-len(piece) % _ALIGNED)
        file.write(filling)
        check.update(filling)
    file.write(check.digest())


def load_register(file: BinaryIO, digest: str) -> Register | None:
    """The register that was saved from where `file` is to its end.

    None where it was made of other lines than `digest` stands for or by another version of
    this program, and where anything is damaged or missing: the caller makes it of the lines.
    The check finds accidents. It does not keep out somebody who may write the file: they
    could as well write to the database beside it.
    """
    content = file.read()
    body = memoryview(content)[:-_CHECK_BYTES]
    if not content.startswith(_MAGIC) or _check(body) != content[-_CHECK_BYTES:]:
        return None
    at = _next(len(_MAGIC))
    length = int.from_bytes(body[at : at + _LENGTH_BYTES], "little")
    at = _next(at + _LENGTH_BYTES)
    header = json.loads(bytes(body[at : at + length]))
    if header["made_by"] != _made_by() or header["digest"] != digest:
        return None
    return Register(kept=_arrays(body, _next(at + length), header["arrays"]))


def _bytes_of(array: NDArray[Any]) -> memoryview:
    return np.ascontiguousarray(array).reshape(-1).view(np.uint8).data


def _arrays(body: memoryview, at: int, table: list[tuple[str, str, list[int]]]) -> Arrays:
    """The arrays as they stand in `body`, which they share: nothing is copied."""
    arrays: Arrays = {}
    for name, kind, shape in table:
        one = np.ndarray(shape, dtype=np.dtype(kind), buffer=body, offset=at)
        arrays[name] = one
        at = _next(at + one.nbytes)
    return arrays


def _check(body: memoryview) -> bytes:
    return blake2b(body, digest_size=_CHECK_BYTES).digest()


def _next(at: int) -> int:
    """Where the next piece begins, after one that ends at `at`."""
    return at + -at % _ALIGNED


@lru_cache(maxsize=1)
def _made_by() -> str:
    """What decides how a register is made of lines: this version, its text, the tables of others.

    A name folded by one rule and looked for by another would not be found.
    """
    text = blake2b(digest_size=_CHECK_BYTES)
    modules = {one.name: one for one in files("app.matching").iterdir()}
    for name in sorted(name for name in modules if name.endswith(".py")):
        text.update(modules[name].read_bytes())
    tables = " ".join(f"{package} {version(package)}" for package in ("anyascii", "nicknames"))
    return f"{__version__} {text.hexdigest()} {tables}"
