"""The other process: answers pickled questions from standard input until it ends.

Nothing is written but answers: what a library prints goes nowhere, a fault comes back as one line.
"""

import os
import pickle
import sys
from typing import BinaryIO

from episodes.problems import EpisodesError, PlanError


def main() -> None:
    """Serves the process that started this one, at a lower priority than it."""
    os.nice(5)
    receive = sys.stdin.buffer
    send = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    serve(receive, send)


def serve(receive: BinaryIO, send: BinaryIO) -> None:
    """Answers each question until there are no more."""
    while True:
        try:
            question = pickle.load(receive)
        except EOFError:
            return
        pickle.dump(_answered(question), send)
        send.flush()


def _answered(question: object) -> tuple[str, object]:
    assert callable(question)
    try:
        return "answer", question()
    except PlanError as error:
        return "fault", str(error.problems[0]) if error.problems else "the plan has a fault"
    except EpisodesError as error:
        return "fault", str(error)
    except Exception as error:  # noqa: BLE001 - the last resort: the screens go on without it
        return "fault", f"a fault of the program, not of the plan ({type(error).__name__})"
