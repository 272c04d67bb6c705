"""What the names of a form can be completed to: people, places, steps, products, with titles."""

from collections.abc import Callable, Sequence

from episodes.files.writing_lines import Known
from episodes.model.episode import Episode
from episodes.model.season import Season
from episodes.screens.forms.fields import Offer, of_mapping


def known_in(season: Season) -> Known:
    """The names that a line typed as a step may use."""
    studio = season.studio
    return Known(
        people={each.id: each.title for each in studio.people},
        spaces={each.id: each.title for each in studio.spaces},
        gear={each.id: each.title for each in studio.gear},
    )


class Names:
    """The names of a season as seen from one of its episodes, and from one of its jobs."""

    def __init__(self, season: Season, episode: Episode | None, job: str = "") -> None:
        self._season = season
        self._episode = episode
        self._job = job

    @property
    def people(self) -> list[Offer]:
        return of_mapping({each.id: each.title for each in self._season.studio.people})

    @property
    def who(self) -> list[Offer]:
        return [*self.people, Offer("any_of ", "one of those named, whoever suits the plan")]

    @property
    def spaces(self) -> list[Offer]:
        return of_mapping({each.id: each.title for each in self._season.studio.spaces})

    @property
    def gear(self) -> list[Offer]:
        return of_mapping({each.id: each.title for each in self._season.studio.gear})

    @property
    def carriers(self) -> list[Offer]:
        return of_mapping({each.id: each.title for each in self._season.studio.carriers})

    @property
    def products(self) -> list[Offer]:
        from episodes.files.products import load_products

        return [Offer(id, product.title) for id, product in load_products().items()]

    @property
    def own_steps(self) -> list[Offer]:
        """The steps of the job by their own id."""
        episode = self._episode
        jobs = () if episode is None else episode.jobs
        return [
            Offer(step.id.partition(".")[2], step.title)
            for job in jobs
            for step in job.steps
            if job.id == self._job
        ]

    @property
    def steps(self) -> list[Offer]:
        episode = self._episode
        jobs = () if episode is None else episode.jobs
        return [Offer(step.id, f"{job.title}: {step.title}") for job in jobs for step in job.steps]

    @property
    def jobs(self) -> list[Offer]:
        jobs = () if self._episode is None else self._episode.jobs
        return [Offer(job.id, job.title) for job in jobs]

    @property
    def parcels(self) -> list[Offer]:
        parcels = () if self._episode is None else self._episode.parcels
        return [Offer(each.id, each.title) for each in parcels]

    @property
    def shots(self) -> list[Offer]:
        shots = () if self._episode is None else self._episode.shots
        return [Offer(each.id, each.title) for each in shots]

    @property
    def filmed(self) -> list[Offer]:
        """What a shot may be of."""
        return [*self.jobs, *self.steps]

    @property
    def awaited(self) -> list[Offer]:
        """All that something may wait for: own steps by their short id first."""
        return [
            *self.own_steps, *self.parcels, *self.jobs, *self.steps, *self.shots,
            Offer("release", "the release itself"),
        ]  # fmt: skip

    @property
    def things(self) -> list[Offer]:
        """What a way out may leave out."""
        return [*self.jobs, *self.steps, *self.parcels, *self.shots]

    def of(self, name: str) -> Callable[[], Sequence[Offer]]:
        """One of the lists above, made when it is asked for."""
        return lambda: getattr(self, name)
