"""`off PERSON WHEN`: somebody is away."""

from pathlib import Path

import click

from episodes.commands.facts import fact_options, moments_of, tell
from episodes.commands.opening import open_season
from episodes.commands.people import person_named


@click.command("off")
@click.argument("person")
@click.argument("when", metavar="WHEN")
@fact_options
def command(
    person: str, when: str, season_option: Path | None, now_text: str | None, as_json: bool
) -> None:
    """Write down that PERSON does not work then.

    WHEN is a day (thu, tomorrow, 2027-04-15), days (2027-04-15..2027-04-18), or part of a day
    ("2027-04-15 18:00-20:00").
    """
    from episodes.files.editing import Edit, change

    opened = open_season(None, season_option, now_text)
    found = person_named(opened, person)
    try:
        days = moments_of(opened).days_off(when)
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="WHEN") from None
    said = f"{found.title}: off {days}"
    edit = Edit(kind="person", id=found.id, key="off", value=days, add=True)

    def write() -> None:
        change(
            opened.folder,
            "",
            [edit],
            clock=opened.clock,
            now=opened.now,
            said=said,
            seen=opened.texts,
        )

    tell(opened, write, lambda: said, as_json=as_json)
