"""Commands that the plan format names and that are not there yet: they say so, and fail."""

import click

from episodes.commands.printing import ExitCode, complain, leave


def not_yet(name: str) -> click.Command:
    """A command that takes whatever is typed and answers that it is not there yet (exit 3)."""

    @click.command(
        name,
        hidden=True,
        help="Not there yet.",
        context_settings={"ignore_unknown_options": True},
    )
    @click.argument("rest", nargs=-1, type=click.UNPROCESSED)
    def command(rest: tuple[str, ...]) -> None:
        complain(f"episodes: `{name}` is not there yet; `episodes --help` lists what is")
        leave(ExitCode.FAILED)

    return command
