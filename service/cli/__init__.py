"""The command line, ``python -m service``: its grammar in ``arguments``, and one module a command with its ``run``."""

from service.cli.command import main

__all__ = ["main"]
