"""A printed page as a scanner sees it: drawn as pixels, its barcodes read by an independent reader.

`pypdfium2` draws and `zxing-cpp` reads; neither shares anything with what made the page.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
import pypdfium2
import zxingcpp

# What a plain scanner or a photograph of a page has.
DOTS_PER_INCH = 200
_POINTS_PER_INCH = 72


@dataclass(frozen=True, slots=True)
class Read:
    """A barcode that was read, and where: left, top, right and bottom in pixels."""

    text: str
    kind: str
    box: tuple[int, int, int, int]


def pictures_of(data: bytes, dots_per_inch: int = DOTS_PER_INCH) -> Iterator[np.ndarray[Any, Any]]:
    """Each page in grey, from 0 (black) to 255."""
    document = pypdfium2.PdfDocument(data)
    try:
        for page in document:
            bitmap = page.render(scale=dots_per_inch / _POINTS_PER_INCH, grayscale=True)
            picture = bitmap.to_numpy().copy()
            yield picture.reshape(picture.shape[0], -1)
            bitmap.close()
            page.close()
    finally:
        document.close()


def barcodes_in(picture: np.ndarray[Any, Any]) -> list[Read]:
    """Every barcode of a page, from top to bottom."""
    # The reader would also look at the page at a third of its size, where a module is less than
    # a dot, and there finds numbers that nobody printed: one in 39 barcodes at 300 dots an inch.
    found = zxingcpp.read_barcodes(picture, try_downscale=False)
    reads = [Read(one.text, one.format.name, _box(one.position)) for one in found]
    return sorted(reads, key=lambda read: read.box[1])


def barcodes_of(data: bytes) -> list[list[Read]]:
    """Of each page."""
    return [barcodes_in(picture) for picture in pictures_of(data)]


def _box(position: Any) -> tuple[int, int, int, int]:
    corners = [
        position.top_left,
        position.top_right,
        position.bottom_left,
        position.bottom_right,
    ]
    across, down = [corner.x for corner in corners], [corner.y for corner in corners]
    return min(across), min(down), max(across), max(down)
