"""`python -m episodes` is the command `episodes`."""

from episodes.cli import main

if __name__ == "__main__":
    main()
