"""When can everybody work? The hours of each person, as the plan counted with them."""

from episodes.calendars.openings import Stretch
from episodes.model.season import Season
from episodes.network.hours import Hours


def open_hours(season: Season) -> dict[str, tuple[Stretch, ...]]:
    """Person to the stretches they can work, from now to the last release.

    UTC minutes, sorted; days off, holidays and busy time are out. Nothing where no episode is to
    come.
    """
    last = max((episode.release for episode in season.episodes), default=season.now)
    if last <= season.now:
        return {person.id: () for person in season.studio.people}
    hours = Hours(season, season.now, last)
    return {person.id: tuple(hours.person(person.id)) for person in season.studio.people}
