"""What a command prints and the code it leaves with.

Answers go to standard output, faults and notes to standard error, a line each and cleaned of all
that could drive the terminal. Nothing heavy is imported here.
"""

import os
import sys
from enum import IntEnum
from typing import NoReturn

import click


class ExitCode(IntEnum):
    """How a command ends; fixed by the plan format."""

    MET = 0
    """The release is met, or the command did what it was asked."""
    MISSED = 1
    """Some episode's release is not met."""
    WRONG_INPUT = 2
    FAILED = 3
    """Any other failure."""
    INTERRUPTED = 130
    """Stopped from the keyboard: the number that shells know it by."""


def say(text: str) -> None:
    """Print an answer. A reader that has gone away (`| head`, `>&-`) is no failure."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text if text.endswith("\n") else text + "\n")
        sys.stdout.flush()
    except BrokenPipeError:
        hush()


def hush() -> None:
    """Send what is still to be printed nowhere: its reader has gone away."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    os.close(nowhere)


def complain(text: str) -> None:
    """Print one line on standard error, whatever the text holds."""
    from episodes.exports.safe_text import clean

    click.echo(clean(text), err=True)


def leave(code: ExitCode) -> NoReturn:
    """End the command with this code."""
    click.get_current_context().exit(int(code))
    raise AssertionError("a context's exit does not return")


def at_a_terminal() -> bool:
    """Whether somebody sits there: both ends are a terminal."""
    return all(stream is not None and stream.isatty() for stream in (sys.stdin, sys.stdout))
