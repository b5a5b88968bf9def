"""Running a command, and what all have in common: errors in one line, interrupts and closed pipes without a word."""

from __future__ import annotations

import logging
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from service.cli.arguments import parser
from service.cli.failures import CommandError, printed
from service.domain.faults import Refused

_INTERRUPTED = 130
_PIPE_CLOSED = 141


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command and return its exit code.

    0: done; 1: done, and the answer is no; 2: could not be done, with the reason on standard error;
    130 and 141: interrupted, or the reader of the output went away.
    """
    # What goes wrong is told in one line; a log of it is for the server, which sets one up.
    logging.getLogger("service").addHandler(logging.NullHandler())
    try:
        chosen = parser().parse_args(arguments)
        code: int = import_module(f"service.cli.{chosen.command}").run(chosen)
        sys.stdout.flush()
        return code
    except CommandError as error:
        sys.stderr.write(printed(error.lines))
    except Refused as error:
        sys.stderr.write(printed(f"{fault.pointer or '/'}: {fault.detail}" for fault in error.faults))
    except BrokenPipeError:
        # Whoever read the output has gone; what is still buffered must not raise again at exit.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return _PIPE_CLOSED
    except KeyboardInterrupt:
        return _INTERRUPTED
    except OSError as error:
        sys.stderr.write(printed([f"{error.filename or 'system'}: {error.strerror or error}"]))
    return 2
