"""What `odds` says: how often it is out in time, what that means, what to do about it."""

from typing import TYPE_CHECKING

from episodes.exports.odds_picture import odds_picture, picture_rows
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns, worked

if TYPE_CHECKING:
    from episodes.answers.odds import Driver, EpisodeOdds, OddsAnswer, ParcelOdds

WORTH_TELLING = 0.005
"""A gain that rounds to one in a hundred or more."""

WORTH_REORDERING = 0.05
"""What another order of work must be able to win to be spoken of."""

SURE = 0.99
VERY_LIKELY = 0.95
LIKELY = 0.8
EVEN = 0.5

_MOVED_ON = (
    "Something planned is past and not ticked off, or cannot stand where it is planned: these "
    "odds count with it moved on."
)

_NUMBERS = ("No thing", "One thing", "Two things", "Three things")


def odds_text(answer: "OddsAnswer") -> str:
    """The odds for a person, an episode a paragraph."""
    words = Words(answer.zone, answer.now)
    blocks = [_episode(episode, answer, words) for episode in answer.episodes]
    if answer.read_as_of:
        blocks.insert(0, [f"Read as of {words.dated(answer.now)}."])
    if not answer.as_planned and answer.episodes:
        blocks[0 if not answer.read_as_of else 1].insert(0, _MOVED_ON)
    if not answer.episodes:
        blocks.append(["No room of this season is still to be released."])
    return "\n\n".join("\n".join(block) for block in blocks)


def in_words(share: float) -> str:
    """A share of samples: `93 in 100`, `over 99 in 100`, `under 1 in 100`.

    >>> in_words(0.934), in_words(1.0), in_words(0.0)
    ('93 in 100', 'over 99 in 100', 'under 1 in 100')
    """
    hundredths = int(share * 100 + 0.5)
    if hundredths >= 100:
        return "over 99 in 100"
    return f"{hundredths} in 100" if hundredths else "under 1 in 100"


def _episode(episode: "EpisodeOdds", answer: "OddsAnswer", words: Words) -> list[str]:
    release = words.moment(episode.release)
    room, chance = _room(episode.id, answer), in_words(episode.on_time)
    lines = [
        f"{room}: {chance} to be out by {release}, this order kept.",
        f"  {so_what(episode)}",
        f"  {_ready(episode, words)}",
    ]
    if episode.spread is not None:
        picture = odds_picture(episode.spread, episode.release, plain=True)
        lines += [f"  {row}" for row in picture_rows(picture, words)]
    lines += _drivers(episode, answer, words)
    lines += _orders(episode, answer.now, words)
    return lines


def _room(id: str, answer: "OddsAnswer") -> str:
    """A title without its second half, behind a colon, where the first is nobody else's."""
    short = answer.titles[id].partition(":")[0]
    alike = sum(title.partition(":")[0] == short for title in answer.titles.values())
    return clean(short if alike == 1 else answer.titles[id])


def so_what(episode: "EpisodeOdds") -> str:
    """What the odds mean, and whether another order of work could make them better."""
    share, ceiling = episode.on_time, episode.ceiling
    if share >= VERY_LIKELY:
        return "As good as sure." if share >= SURE else "Very likely in time."
    if episode.verdict == "slips":
        said = "It slips even at likely lengths."
    elif share >= LIKELY:
        said = "Likely in time."
    elif share >= EVEN:
        said = "Likelier in time than late."
    else:
        said = (
            "Likelier late than in time: at likely lengths it meets, but too much would have to "
            "go as likely at once."
        )
    if ceiling - share >= WORTH_REORDERING:
        said += f" Another order of work could make that up to {in_words(ceiling)}."
    else:
        said += " Another order of work would hardly change that."
    return said if share >= LIKELY else said + " `episodes rescue` looks for ways out."


def _ready(episode: "EpisodeOdds", words: Words) -> str:
    """When it is ready, to the hour: no minute of it can be relied on."""
    moments = {
        percent: "never" if at is None else words.moment(-(-at // 60) * 60)
        for percent, at in episode.ready.items()
    }
    return f"Ready by {moments[50]} in 50 of 100, {moments[80]} in 80, {moments[95]} in 95."


# -- what drives it ------------------------------------------------------------------------------


def _drivers(episode: "EpisodeOdds", answer: "OddsAnswer", words: Words) -> list[str]:
    told = [driver for driver in episode.drivers if driver.gain >= WORTH_TELLING]
    if not told:
        return []
    rows = [
        (
            _name(driver) + _elsewhere(driver, episode.id, answer),
            what_to_do(driver, words),
            in_words(episode.on_time + driver.gain),
        )
        for driver in told
    ]
    each = "it" if len(told) == 1 else "each alone"
    head = f"  {_NUMBERS[len(told)]} to do something about, and the odds if {each} went as likely:"
    return [head, *columns(rows, indent="    ")]


def _name(driver: "Driver") -> str:
    title = clean(driver.title, limit=40)
    return f"Drying of {title}" if driver.kind == "dry" else title


def _elsewhere(driver: "Driver", episode: str, answer: "OddsAnswer") -> str:
    return "" if driver.episode == episode else f" ({_room(driver.episode, answer)})"


def what_to_do(driver: "Driver", words: Words) -> str:
    """What a person can do about a length that is not sure."""
    if driver.kind == "dry":
        return "keep its air as warm and dry as planned"
    if driver.kind == "parcel":
        how = "ask for a firm day" if driver.ordered else "order it with a firm day"
        return how if driver.arrives is None else f"{how}: {words.moment(driver.arrives)}"
    if driver.kind == "wait":
        return "have it answered in its likely time"
    return f"try it out or get help: {worked(driver.likely_min or 0)}"


# -- when to order -------------------------------------------------------------------------------


def _orders(episode: "EpisodeOdds", now: int, words: Words) -> list[str]:
    """When to order what is still to be ordered and can change the odds."""
    still = [parcel for parcel in episode.parcels if not parcel.ordered and not parcel.optional]
    told = [parcel for parcel in still if parcel.harmless_until is not None]
    if not told:
        return []
    shares = [share for share in (80, 95) if any(_has(parcel, share) for parcel in told)]
    rows = [
        (
            clean(parcel.title, limit=40),
            _moment(parcel.harmless_until, now, words),
            *(_by(parcel, share, now, words) for share in shares),
        )
        for parcel in told
    ]
    head = ("Order", "nothing is lost until", *(f"{share} in 100 until" for share in shares))
    lines = columns([head, *rows])
    if 80 not in shares:
        most = max(parcel.cap for parcel in told)
        lines.append(f"  However early they come, no more than {in_words(most)}.")
    return lines


def _has(parcel: "ParcelOdds", share: int) -> bool:
    return parcel.order_by.get(share) is not None


def _by(parcel: "ParcelOdds", share: int, now: int, words: Words) -> str:
    moment = parcel.order_by.get(share)
    return "not to be had" if moment is None else _moment(moment, now, words)


def _moment(moment: int | None, now: int, words: Words) -> str:
    if moment is None:
        return "-"
    return "too late now" if moment < now else words.deadline(moment)
