"""From the command line to a command, and from whatever goes wrong to one clear message."""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Sequence
from importlib import import_module

from subspark.cli.parser import build_parser
from subspark.errors import SubsparkError

__all__ = ["main"]

_ROOMS = {
    "new": "files",
    "demo": "files",
    "schema": "files",
    "check": "check",
    "explain": "explain",
    "rules": "catalogue",
    "marking": "label",
    "curves": "curves",
    "papers": "papers",
    "reproduce": "papers",
    "longest": "longest",
    "fits": "fits",
    "sensitivity": "sensitivity",
    "picture": "picture",
    "repair": "repair",
    "fewest": "fewest",
    "whatif": "whatif",
    "apply": "whatif",
    "serve": "serving",
}
BAD_INPUT = 2
FAILED = 70  # an error of ours, as sysexits.h numbers it
INTERRUPTED = 130
CLOSED = 0  # the reader of a pipe has seen enough: `subspark check plant.xlsx | head`


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command.

    Parameters
    ----------
    argv : sequence of str, optional
        The arguments after ``subspark``; those of the process by default.

    Returns
    -------
    int
        0 safe or done, 1 something unsafe or unproven, 2 bad input, 70 an error of ours, 130
        interrupted.
    """
    _speak_plainly()
    try:
        arguments = build_parser().parse_args(argv)
    except SystemExit as end:  # argparse ends by itself after help, the version or a bad option
        return end.code if isinstance(end.code, int) else BAD_INPUT
    try:
        status = _run(arguments)
        sys.stdout.flush()
    except SubsparkError as error:
        return _complain(str(error), BAD_INPUT)
    except BrokenPipeError:
        _close_quietly()
        return CLOSED
    except KeyboardInterrupt:
        return _complain("interrupted", INTERRUPTED)
    except OSError as error:
        return _complain(_of_file(error), BAD_INPUT)
    except Exception as error:
        if os.environ.get("SUBSPARK_DEBUG") == "1":
            raise
        return _complain(
            f"an error of subspark itself, please report it: {type(error).__name__}: {error} "
            "(SUBSPARK_DEBUG=1 shows where)",
            FAILED,
        )
    return status


def _run(arguments: argparse.Namespace) -> int:
    room = import_module(f"subspark.cli.{_ROOMS[arguments.command]}")
    command = getattr(room, arguments.command)
    status: int = command(arguments)
    return status


def _speak_plainly() -> None:
    """Replace what a terminal of another encoding cannot show, instead of failing over it."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")


def _complain(message: str, status: int) -> int:
    print(f"subspark: {message}", file=sys.stderr)
    return status


def _of_file(error: OSError) -> str:
    named = f"{error.filename}: " if error.filename else ""
    return f"{named}{(error.strerror or str(error)).lower()}"


def _close_quietly() -> None:
    """Let the interpreter flush into nothing at its end, since the reader has gone."""
    try:
        sink = os.open(os.devnull, os.O_WRONLY)
        os.dup2(sink, sys.stdout.fileno())
    except OSError:
        return
