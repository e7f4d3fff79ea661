"""Refuses an old Python in words. This file alone must parse on the Pythons it refuses."""

OLDEST_PYTHON = (3, 11)


def refuse_old_python(version: tuple) -> None:  # type: ignore[type-arg]
    """End the script, exit code 1, where `version` (as in sys.version_info) is too old."""
    if tuple(version[:2]) < OLDEST_PYTHON:
        raise SystemExit(
            "Tablebook needs Python %d.%d or newer, and this is Python %d.%d: "
            "install a newer one from python.org and run this script with it."
            % (OLDEST_PYTHON + tuple(version[:2]))
        )
