"""The pages as lines of text, read from top to bottom: for screen readers, pipes and small wires.

Nothing of the terminal is needed: no cursor, no colour, no shape that only an eye can read. Each
page says what its screen says, a sentence or a row at a time.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer, EpisodeAnswer, ParcelRow, StepRow
from episodes.exports.safe_text import clean
from episodes.exports.text_words import read_as_of, words_for
from episodes.screens import wording

if TYPE_CHECKING:
    from episodes.answers.compare import InMonth
    from episodes.model.season import Season

PAGES = ("tonight", "runup", "door", "ways", "camera", "next", "lookback", "load")
"""The names of the pages, in the order of their keys."""


class Plain:
    """The pages of one reading of a season.

    Args:
        only: the episode that was named; else every one that is not out.
        in_month: gives an idea its release in a month, for the next room.
    """

    def __init__(
        self, season: "Season", only: str | None = None, in_month: "InMonth | None" = None
    ) -> None:
        from episodes.answers.check import check

        self._season = season
        self._only = only
        self._in_month = in_month
        self._answer: CheckAnswer = check(season)
        self._words = words_for(self._answer)

    def page(self, name: str) -> str:
        """One page; raises KeyError for a name that is none of `PAGES`."""
        pages: dict[str, Callable[[], str]] = {
            "tonight": self._tonight,
            "runup": self._runup,
            "door": self._door,
            "ways": self._ways,
            "camera": self._camera,
            "next": self._next,
            "lookback": self._lookback,
            "load": self._load,
        }
        return pages[name]()

    @property
    def _rooms(self) -> list[EpisodeAnswer]:
        return [
            each
            for each in self._answer.episodes
            if (each.id == self._only if self._only else each.verdict != "released")
        ]

    def _verdict(self, episode: EpisodeAnswer) -> str:
        release = self._words.moment(episode.release)
        return f"{clean(episode.title)}, {release}: {wording.verdict(episode)}."

    def _tonight(self) -> str:
        from episodes.answers.today import today
        from episodes.exports.text_today import today_text

        lines = [self._verdict(each) for each in self._rooms]
        text = today_text(today(self._answer, self._season), self._answer)
        first, _, rest = text.partition("\n")
        if first == read_as_of(self._answer):
            return "\n".join([first, *lines, "", rest])
        return "\n".join([*lines, "", text])

    def _runup(self) -> str:
        blocks = []
        for episode in self._rooms:
            lines = [self._verdict(episode)]
            jobs = dict(episode.jobs)
            for row in episode.steps:
                if row.state in ("open", "started") and row.kind != "release":
                    lines.append(self._row(episode, row, jobs))
            blocks.append("\n".join(lines))
        return self._dated(blocks) or "No room is still to be released."

    def _dated(self, blocks: list[str]) -> str:
        """Blocks a blank line apart, below the moment they are read at."""
        as_of = read_as_of(self._answer)
        return "\n\n".join(([as_of] if as_of and blocks else []) + blocks)

    def _row(self, episode: EpisodeAnswer, row: StepRow, jobs: dict[str, str]) -> str:
        kinds = {
            "dry": "drying", "wait": "waiting", "parcel": "delivery",
            "shot": "shot, once only" if row.once else "shot", "hands": "work", "release": "",
        }  # fmt: skip
        parts = [
            wording.name_of(episode, row),
            kinds[row.kind],
            wording.when(row, self._words),
            wording.people(self._answer, row.who),
            wording.slack(row),
        ]
        said = ", ".join(part for part in parts if part)
        return f"  {said}. {wording.reason(self._answer, episode, row)}".rstrip()

    def _door(self) -> str:
        blocks = []
        for episode in self._rooms:
            rows = [row for row in episode.parcels if row.state != "dropped"]
            if rows:
                lines = [self._verdict(episode), *(self._parcel(row) for row in rows)]
                blocks.append("\n".join(lines))
        return self._dated(blocks) or "Nothing is on its way and nothing is to be ordered."

    def _parcel(self, row: ParcelRow) -> str:
        said = f"  {clean(row.title)}: {wording.parcel_state(row)}"
        if wording.in_hand(row):
            return f"{said}."
        said += f", in hand {self._words.moment(row.arrives, 'never')}"
        if row.latest_arrival is None:
            return f"{said}."
        up_to = "meets up to" if row.latest_exact else "meets at least up to"
        said += f", {up_to} {self._words.moment(row.latest_arrival)}"
        late = row.arrives is not None and row.arrives > row.latest_arrival
        return f"{said}{', TOO LATE' if late else ''}."

    def _ways(self) -> str:
        from episodes.answers.rescue import in_need, rescue
        from episodes.exports.text_rescue import rescue_text
        from episodes.files.exchanges import load_offers

        room = self._only or in_need(self._answer)
        if room is None:
            return "No room is still to be released."
        found = rescue(self._season, room, odds=True, offers=load_offers())
        return rescue_text(found, self._answer)

    def _camera(self) -> str:
        from episodes.answers.shots import shots
        from episodes.exports.text_lists import shots_text

        return shots_text(shots(self._answer, self._season), self._answer)

    def _next(self) -> str:
        from episodes.answers.compare import compare
        from episodes.exports.text_compare import compare_text

        return compare_text(compare(self._season, self._in_month))

    def _lookback(self) -> str:
        from episodes.answers.lookback import lookback
        from episodes.exports.text_lookback import lookback_text

        return lookback_text(lookback(self._season, only=self._only))

    def _load(self) -> str:
        from episodes.answers.load import load
        from episodes.exports.text_load import load_text

        return load_text(load(self._season))
