"""The file that tells a bundle of a practice day from a real one, for whoever opens the zip."""

from __future__ import annotations

PRACTICE_NOTE = "PRACTICE.txt"
PRACTICE_TEXT = (
    "PRACTICE: nothing in this bundle counts. The people in it cannot exist. Hand it to nobody.\n"
    "PRÁCTICA: nada de este paquete cuenta. Las personas que hay en él no pueden existir. "
    "No se lo entregue a nadie.\n"
).encode()
