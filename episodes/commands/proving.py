"""Waiting for a search: one line of progress on a terminal, Ctrl-C keeps the best found so far."""

import sys
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar

import click

if TYPE_CHECKING:
    from episodes.answers.proof import Patience

Answer = TypeVar("Answer")

QUIET_SECONDS = 1.0
"""How long nothing is said of a search."""

LOOK_SECONDS = 0.1

DEFAULT_PROOF_SECONDS = 60


class ProvingCommand(click.Command):
    """`--prove` alone or `--prove=SECONDS`, one word: what follows is never its value."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        end = args.index("--") if "--" in args else len(args)
        words = [
            f"--prove={DEFAULT_PROOF_SECONDS}" if word == "--prove" and at < end else word
            for at, word in enumerate(args)
        ]
        return super().parse_args(ctx, words)


def prove_option(command: Callable[..., None]) -> Callable[..., None]:
    """`--prove[=SECONDS]`: how long to search."""
    return click.option(
        "--prove",
        metavar="[=SECONDS]",
        type=click.FloatRange(min=0, min_open=True),
        help=f"Search on for proofs, {DEFAULT_PROOF_SECONDS} seconds or as many as given; "
        "Ctrl-C ends it with what it has.",
    )(command)


def patience_of(seconds: float) -> "Patience":
    """A patience of so many seconds of a quiet core, by the clock a little more."""
    from episodes.answers.proof import Patience

    return Patience(seconds)


def waited_for(patience: "Patience", ask: Callable[[], Answer]) -> Answer:
    """The answer to a question that may take its time.

    It is worked out beside, so that Ctrl-C is heard: the first one ends the search, and the answer
    is the best so far.
    """
    found: list[Answer] = []
    failed: list[BaseException] = []
    line = _Line()
    patience.tell = line.say

    def work() -> None:
        try:
            found.append(ask())
        except BaseException as error:  # noqa: BLE001 - raised again where it is waited for
            failed.append(error)

    worker = threading.Thread(target=work, daemon=True)
    worker.start()
    waited = 0.0
    try:
        while worker.is_alive():
            try:
                worker.join(LOOK_SECONDS)
            except KeyboardInterrupt:
                if patience.halted:
                    raise
                patience.halt()
                continue
            waited += LOOK_SECONDS
            if waited >= QUIET_SECONDS:
                line.show()
    finally:
        line.clear()
    if failed:
        raise failed[0]
    return found[0]


class _Line:
    """One line on standard error that is written over again; on a terminal only."""

    def __init__(self) -> None:
        self.text = ""
        self.shown = ""

    def say(self, text: str) -> None:
        self.text = text

    def show(self) -> None:
        if self.text != self.shown and sys.stderr.isatty():
            from episodes.exports.safe_text import clean

            self._write(f"{clean(self.text, limit=50)} (Ctrl-C: what is known so far)")
            self.shown = self.text

    def clear(self) -> None:
        if self.shown:
            self._write("")

    @staticmethod
    def _write(text: str) -> None:
        click.echo(f"\r\x1b[K{text}", nl=False, err=True)
