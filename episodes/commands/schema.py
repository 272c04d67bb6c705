"""`schema`: what a plan file may hold."""

import click

from episodes.commands.opening import json_option
from episodes.commands.printing import ExitCode, leave, say


@click.command("schema")
@click.argument("word", required=False)
@json_option
def command(word: str | None, as_json: bool) -> None:
    """What a plan file may hold: every key, how its value is written, what it means.

    WORD shows the tables whose name has it (step, person, fallback), else the keys that have it.
    With --json it is a JSON Schema (2020-12) of all of it, for editors that complete and check
    keys; dates and times, which TOML writes without quotes, stand there as text.
    """
    from episodes.files.schema_keys import described_schema, listed_tables

    if as_json:
        if word is not None:
            raise click.UsageError("--json is the schema of everything; leave the word out")
        from episodes.exports.records import to_json

        say(to_json(described_schema()))
        leave(ExitCode.MET)
    from episodes.exports.text_schema import schema_text

    tables = listed_tables()
    if word is not None:
        tables = _matching(tables, word.strip("[]").lower())
        if not tables:
            raise click.UsageError(f'no table and no key has "{word}" in its name')
    say(schema_text(tables))
    leave(ExitCode.MET)


def _matching(
    tables: list[tuple[str, list[tuple[str, str, str]]]], word: str
) -> list[tuple[str, list[tuple[str, str, str]]]]:
    """The tables named so, or the keys named so in any table."""
    named = [each for each in tables if word in each[0].lower()]
    if named:
        return named
    keys = [(written, [row for row in rows if word in row[0]]) for written, rows in tables]
    return [(written, rows) for written, rows in keys if rows]
