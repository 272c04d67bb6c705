"""`completion SHELL`: the lines that make a shell complete commands and options."""

import click

from episodes.commands.printing import ExitCode, leave, say


@click.command("completion")
@click.argument("shell", type=click.Choice(("bash", "zsh", "fish")))
def command(shell: str) -> None:
    """Print what makes SHELL complete the words of this command.

    For bash: episodes completion bash >> ~/.bashrc
    """
    from click.shell_completion import get_completion_class

    root = click.get_current_context().find_root().command
    kind = get_completion_class(shell)
    assert kind is not None
    say(kind(root, {}, "episodes", "_EPISODES_COMPLETE").source())
    leave(ExitCode.MET)
