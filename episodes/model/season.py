"""A season: the studio and its episodes, at one moment."""

from dataclasses import dataclass
from datetime import date

from episodes.model.episode import Episode
from episodes.model.studio import Studio
from episodes.problems import Problem


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """What was written, read at `now` (UTC minutes).

    Attributes:
        episodes: by release, ties by id.
        ideas: rooms that have no month yet; their `release` is the next free release day.
        holidays: public holidays of the studio's country over the years the season needs.
        problems: warnings and notes found while reading; errors never get this far.
        read_as_of: `now` comes from the season's own `as_of`.
    """

    studio: Studio
    episodes: tuple[Episode, ...]
    ideas: tuple[Episode, ...] = ()
    now: int
    holidays: frozenset[date] = frozenset()
    problems: tuple[Problem, ...] = ()
    read_as_of: bool = False

    def episode(self, id: str) -> Episode:
        return next(episode for episode in self.episodes if episode.id == id)
