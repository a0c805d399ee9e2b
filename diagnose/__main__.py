"""Start the program: as a folder (``python3 diagnose``) or as a module (``python -m diagnose``).

Run as a folder there is no parent package, and the folder itself is on the import path, where its
file names would hide others of the same name: the checkout takes its place.
"""

import os
import sys

TOP = os.path.dirname(os.path.dirname(os.path.realpath(__file__)))

if not __package__:
    if sys.version_info < (3, 11):  # noqa: UP036 - an older one gets this far and needs the words
        sys.exit("diagnose: Python 3.11 or newer is needed; this is " + sys.version.split()[0])
    sys.path[:] = [TOP] + [
        entry for entry in sys.path if os.path.realpath(entry) != os.path.join(TOP, "diagnose")
    ]
    from diagnose.bootstrap import hand_over

    hand_over(TOP, "run", "diagnose", sys.argv[1:])

from diagnose.bootstrap import report_gap

if __name__ == "__main__":
    try:
        from diagnose.cli.main import main

        sys.exit(main())
    except ModuleNotFoundError as gap:
        report_gap(TOP, gap)
