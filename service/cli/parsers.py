"""How a command's parser and its help look: errors in one line, text wrapped, examples kept as they are written."""

from __future__ import annotations

import argparse
from typing import Any, NoReturn

from service.cli.failures import CommandError

Commands = argparse._SubParsersAction
"""What commands are added to."""


class OneLineParser(argparse.ArgumentParser):
    """A parser whose errors take one line and lead to ``--help``."""

    def error(self, message: str) -> NoReturn:
        """Raise ``CommandError``, where the library would print the usage and exit."""
        raise CommandError(f"{message} (see: {self.prog} --help)")


class _Help(argparse.HelpFormatter):
    """Wraps a description, and leaves the lines of examples alone."""

    def _fill_text(self, text: str, width: int, indent: str) -> str:
        if text.startswith("example"):
            return "".join(indent + line for line in text.splitlines(keepends=True))
        return super()._fill_text(text, width, indent)


def add_command(commands: Commands[Any], name: str, short: str, told: str, examples: str) -> argparse.ArgumentParser:
    """Add a command with its line in the list of commands, its description and its examples."""
    parser: argparse.ArgumentParser = commands.add_parser(
        name, help=short, description=told, epilog=examples, formatter_class=_Help
    )
    return parser
