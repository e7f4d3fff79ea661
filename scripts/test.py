"""Set up for development, check and test everything: python3 scripts/test.py

    --no-browser   leave out the tests that drive a Chromium
    anything else  goes to pytest: -k sign, -x, -n 2, tests/rules

The first time this downloads what it needs. Exit code 0 only where every check and test passed.
"""

import sys

from _setup_version import refuse_old_python

if __name__ == "__main__":
    refuse_old_python(sys.version_info)
    # Only now: what this brings in is written for a Python that has passed the line above.
    from _setup_tests import main

    sys.exit(main(sys.argv[1:]))
