"""What a person, and a program that reads aloud, finds on a printed slip."""

from __future__ import annotations

import io
from dataclasses import replace

import pypdf

from app.rules.elsewhere import ElsewhereLine
from app.rules.setting import Setting
from tests.making import setting

PERSON = ElsewhereLine(
    "Hollingworth",
    "Beatrix",
    1984,
    "4-02",
    "Saltmarsh Library, reading room",
    "9 Saltmarsh Road, Ternwick",
    "Maeve",
)


def pages_of(data: bytes) -> list[str]:
    """The text of each page, every run of spaces and line ends made one space."""
    return [_folded(page.extract_text()) for page in pypdf.PdfReader(io.BytesIO(data)).pages]


def text_of(data: bytes) -> str:
    return " ".join(pages_of(data))


def metadata_of(data: bytes) -> dict[str, str]:
    found = pypdf.PdfReader(io.BytesIO(data)).metadata or {}
    return {str(key): str(value) for key, value in found.items()}


def setting_with(**policy: str) -> Setting:
    plain = setting()
    return replace(plain, policy=replace(plain.policy, **policy))  # type: ignore[arg-type]


def _folded(text: str) -> str:
    return " ".join(text.split())
