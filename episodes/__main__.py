"""`python -m episodes`, and the installed command.

Stopping it from the keyboard ends it without a traceback, even while its modules are still being
loaded: until then nothing is open, so the system's own way of stopping a program will do.
"""

from typing import NoReturn


def main() -> NoReturn:
    """Load the command line and run it."""
    from signal import SIG_DFL, SIGINT, default_int_handler, signal

    signal(SIGINT, SIG_DFL)
    from episodes.cli import main as command

    signal(SIGINT, default_int_handler)
    command()


if __name__ == "__main__":
    main()
