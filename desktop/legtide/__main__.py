"""`python -m legtide`."""

import sys

from legtide.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
