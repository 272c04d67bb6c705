"""Whom a word on the command line means."""

import click

from episodes.commands.opening import Opened
from episodes.model.studio import Person


def person_named(opened: Opened, name: str) -> Person:
    """The person with that id or title, or the only one whose id or title begins so.

    Raises:
        click.UsageError: nobody, or more than one.
    """
    people = opened.season.studio.people
    wanted = name.casefold()
    for person in people:
        if wanted in (person.id, person.title.casefold()):
            return person
    near = [
        person
        for person in people
        if wanted and (person.id.startswith(wanted) or person.title.casefold().startswith(wanted))
    ]
    if len(near) == 1:
        return near[0]
    which = "nobody" if not near else "more than one person"
    known = ", ".join(person.id for person in people)
    raise click.UsageError(f'"{name}" is {which} here; there is: {known}')
