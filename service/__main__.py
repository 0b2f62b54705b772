"""`python -m service`: serve, or answer one question and end."""

import sys

from service.command_line.commands import main

if __name__ == "__main__":
    sys.exit(main())
