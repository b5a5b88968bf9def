"""Where ``python -m service`` and the installed command begin."""

from __future__ import annotations

import sys

from service.cli import main

__all__ = ["main"]

if __name__ == "__main__":
    sys.exit(main())
