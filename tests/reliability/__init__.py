"""What the program is put through: broken plans, bombs, kills, two programs at once.

`python -m tests.reliability` runs all of it and writes the tables of `docs/reliability.md`; the
tests of this folder run a little of each.
"""
