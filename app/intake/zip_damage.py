"""What zipfile and zlib raise on archives that are damaged or lie about themselves."""

from __future__ import annotations

import struct
import zipfile
import zlib

ZIP_DAMAGE = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    ValueError,
    OverflowError,
    OSError,
)
