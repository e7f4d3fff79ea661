"""Set everything up, load the sample day and serve it: python3 scripts/start.py

The first time this downloads what the project needs; from then on it starts in seconds, goes on
with the same day and needs no network. See --help.
"""

import sys

from _setup_version import refuse_old_python

if __name__ == "__main__":
    refuse_old_python(sys.version_info)
    # Only now: what this brings in is written for a Python that has passed the line above.
    from _setup_start import main

    sys.exit(main(sys.argv[1:]))
