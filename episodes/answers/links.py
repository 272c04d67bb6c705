"""What a room's viewers may want to buy: the parcels that carry a link, and what they cost."""

from dataclasses import dataclass

from episodes.model.episode import Episode, Parcel
from episodes.model.season import Season
from episodes.network.expand import expand


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkLine:
    """One parcel with its link; `price` is what was paid, else the cost as written."""

    episode: str
    id: str
    title: str
    link: str
    price: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EpisodeLinks:
    """One room's links in the file's order, and the titles of what carries none."""

    id: str
    title: str
    lines: tuple[LinkLine, ...]
    without: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LinksAnswer:
    """The links of a season's rooms, by release."""

    now: int
    zone: str
    read_as_of: bool
    currency: str
    episodes: tuple[EpisodeLinks, ...]


def links(season: Season, *, only: str | None = None) -> LinksAnswer:
    """The links of what is in every room of a season, or in one.

    Left out is what will not be in the room: dropped, sent back, replaced, kept for a fallback; and
    what nobody can buy, a yes that is waited for.

    Raises:
        PlanError: faults that only the network shows.
    """
    absent = expand(season).absent
    return LinksAnswer(
        now=season.now,
        zone=season.studio.zone,
        read_as_of=season.read_as_of,
        currency=season.studio.currency,
        episodes=tuple(
            _of(episode, [p for p in episode.parcels if (episode.id, p.id) not in absent])
            for episode in season.episodes
            if only is None or episode.id == only
        ),
    )


def _of(episode: Episode, parcels: list[Parcel]) -> EpisodeLinks:
    replaced = {parcel.replaces for parcel in parcels}
    shown = [
        parcel
        for parcel in parcels
        if parcel.returned is None and parcel.id not in replaced and parcel.kind != "answer"
    ]
    return EpisodeLinks(
        id=episode.id,
        title=episode.title,
        lines=tuple(
            LinkLine(
                episode=episode.id,
                id=parcel.id,
                title=parcel.title,
                link=parcel.link,
                price=parcel.cost if parcel.paid is None else parcel.paid,
            )
            for parcel in shown
            if parcel.link
        ),
        without=tuple(parcel.title for parcel in shown if not parcel.link),
    )
