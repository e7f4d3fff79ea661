"""The readers of what comes from outside, each fed with bytes; an undocumented answer raises.

A target has seeds, good inputs that the fuzzer changes, and a function that takes one input. Where
an input is a whole package or bundle, its first bytes say which file of a good one is replaced:
changed bytes of a zip would nearly always be found damaged, and nothing behind that be tried.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from app.desk.bundle_reading import BundleChecked, check_bundle
from app.intake.faults import Faults
from app.intake.late_lists import LateRows, read_late_list
from app.intake.package import Package, read_package
from app.matching.licence import Licence, read_licence
from app.papers.exports.manifest import MANIFEST
from app.papers.exports.stored_zip import zip_pieces
from app.rules.late_list import ListKind
from tests.intake.late_listing import FACTS, ODETTE, SILAS, listing, workbook
from tests.intake.packing import good_files, manifest_of
from tests.outside.test_licence import SAMPLES

_KINDS = tuple(ListKind)


@dataclass(frozen=True, slots=True)
class Target:
    """`take` raises AssertionError, or whatever the reader let through, where it finds a defect."""

    seeds: tuple[bytes, ...]
    take: Callable[[bytes], None]


class UndocumentedAnswer(AssertionError):
    """A reader answered something that its documentation does not say."""


def targets(folder: Path, bundle: bytes) -> dict[str, Target]:
    """Every target by name; files are written into `folder`."""
    files = good_files() | {"MANIFEST.json": manifest_of(good_files())}
    sealed = _members(bundle)
    return {
        "package": Target(_one_file_seeds(files), _package_taker(files, folder)),
        "package-zip": Target((zipped(files),), _zip_taker(folder)),
        "list": Target(_list_seeds(), take_list),
        "licence": Target(tuple(text.encode() for text, _ in SAMPLES), take_licence),
        "bundle": Target(
            tuple(bundle_seed(sealed, name) for name in sealed if not name.endswith(".pdf")),
            _bundle_taker(sealed, folder),
        ),
    }


def take_list(data: bytes) -> None:
    """The first byte is the kind of the list."""
    kind = _KINDS[data[0] % len(_KINDS)] if data else _KINDS[0]
    answer = read_late_list("list.csv", data[1:], kind, FACTS)
    _expect(answer, LateRows, Faults)
    if isinstance(answer, Faults):
        _check_faults(answer)


def take_licence(data: bytes) -> None:
    _expect(read_licence(data.decode("utf-8", "surrogateescape")), Licence, type(None))


def zipped(files: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(name, data)
    return out.getvalue()


def bundle_seed(files: Mapping[str, bytes], name: str) -> bytes:
    """An input that leaves this file of the bundle as it is."""
    return bytes((sorted(files).index(name), 1)) + files[name]


def resealed(files: Mapping[str, bytes]) -> dict[str, bytes]:
    """With a manifest that fits the files, so that what stands behind the digests is reached."""
    manifest = json.loads(files[MANIFEST])
    others = {name: data for name, data in files.items() if name != MANIFEST}
    manifest["files"] = {
        name: {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        for name, data in sorted(others.items())
    }
    text = json.dumps(manifest, ensure_ascii=False, indent=1) + "\n"
    return {MANIFEST: text.encode(), **others}


def _members(bundle: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(bundle)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def _one_file_seeds(files: Mapping[str, bytes]) -> tuple[bytes, ...]:
    return tuple(bytes((place,)) + files[name] for place, name in enumerate(sorted(files)))


def _package_taker(files: Mapping[str, bytes], folder: Path) -> Callable[[bytes], None]:
    """The first byte says which file of the package the rest replaces."""
    names = sorted(files)
    package = folder / "package"
    package.mkdir(exist_ok=True)
    for name, content in files.items():
        (package / name).write_bytes(content)

    def take(data: bytes) -> None:
        name = names[data[0] % len(names)] if data else names[0]
        (package / name).write_bytes(data[1:])
        try:
            _check_package(read_package(package))
        finally:
            (package / name).write_bytes(files[name])

    return take


def _zip_taker(folder: Path) -> Callable[[bytes], None]:
    def take(data: bytes) -> None:
        path = folder / "package.zip"
        path.write_bytes(data)
        _check_package(read_package(path))

    return take


def _bundle_taker(files: Mapping[str, bytes], folder: Path) -> Callable[[bytes], None]:
    """The first byte: which file the rest replaces; the second: whether the manifest is mended."""
    names = sorted(files)

    def take(data: bytes) -> None:
        place, is_mended = (*data[:2], 0, 0)[:2]
        changed = {**files, names[place % len(names)]: data[2:]}
        # Somebody who makes the whole bundle anew is found by the signed certificate alone.
        is_forged = bool(is_mended % 2) and names[place % len(names)] != MANIFEST
        if is_forged:
            changed = resealed(changed)
        path = folder / "bundle.zip"
        path.write_bytes(b"".join(zip_pieces(changed)))
        found = check_bundle(path)
        _expect(found, BundleChecked)
        if found.fault is None and changed != files and not is_forged:
            raise UndocumentedAnswer("a changed bundle holds")
        if found.fault and not found.fault.strip():
            raise UndocumentedAnswer("a bundle does not hold, and nothing is said")

    return take


def _check_package(answer: Package | Faults) -> None:
    _expect(answer, Package, Faults)
    if isinstance(answer, Faults):
        _check_faults(answer)


def _check_faults(answer: Faults) -> None:
    if not answer.faults:
        raise UndocumentedAnswer("refused, and no fault is named")
    for fault in answer.faults:
        if not str(fault).isprintable():
            raise UndocumentedAnswer(f"a fault that cannot be shown: {fault!r}")


def _expect(answer: object, *kinds: type) -> None:
    if not isinstance(answer, kinds):
        raise UndocumentedAnswer(f"{type(answer).__name__} instead of one of {kinds}")


def _list_seeds() -> tuple[bytes, ...]:
    text = listing(ODETTE, SILAS)
    rows = [list(ODETTE), list(ODETTE.values()), list(SILAS.values())]
    forms = (text, b"\xff\xfe" + text.decode().encode("utf-16-le"), workbook(*rows))
    return tuple(bytes((kind,)) + form for kind in range(len(_KINDS)) for form in forms)
