"""What `odds` says: how often it is out in time, when it is ready, what that hangs on."""

from typing import TYPE_CHECKING

from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, columns

if TYPE_CHECKING:
    from episodes.answers.odds import Driver, EpisodeOdds, OddsAnswer, ParcelOdds, Spread

_SHADES = " .:-=+*#"
"""From nothing to the fullest cell: plain characters, which every terminal and mail shows."""

_WORTH_TELLING = 0.005
"""A gain that rounds to one in a hundred or more."""


def odds_text(answer: "OddsAnswer") -> str:
    """The odds for a person, an episode a paragraph."""
    words = Words(answer.zone, answer.now)
    blocks = [_episode(episode, answer, words) for episode in answer.episodes]
    if answer.read_as_of:
        blocks.insert(0, [f"Read as of {words.dated(answer.now)}."])
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
    chance = in_words(episode.on_time)
    lines = [f"{clean(episode.title)}: {chance} to be out by {release}, this order kept."]
    moments = {percent: words.moment(at, "no date") for percent, at in episode.ready.items()}
    lines.append(
        f"Ready by {moments[50]} as often as not, by {moments[80]} in 80 of 100, by "
        f"{moments[95]} in 95 of 100."
    )
    if episode.spread is not None:
        lines += _picture(episode.spread, episode.release, words)
    helping = [driver for driver in episode.drivers if driver.gain >= _WORTH_TELLING]
    if helping:
        names = ", ".join(_driver(driver, episode.id) for driver in helping)
        lines.append(f"What would help most, were it certain: {names}.")
    lines += _orders(episode, answer.now, words)
    return lines


def _driver(driver: "Driver", episode: str) -> str:
    drying = "drying of " if driver.id.endswith(".dry") else ""
    room = f" of {clean(driver.episode)}" if driver.episode != episode else ""
    gain = int(driver.gain * 100 + 0.5)
    return f"{drying}{clean(driver.title, limit=40)}{room} (+{gain} in 100)"


def _orders(episode: "EpisodeOdds", now: int, words: Words) -> list[str]:
    """When to order what; parcels alone that can still be ordered in time often enough."""
    still = [parcel for parcel in episode.parcels if not parcel.ordered]
    worth = [
        parcel for parcel in still if any(moment is not None for moment in parcel.order_by.values())
    ]
    lines = []
    if worth:
        rows = [_row(parcel, now, words) for parcel in worth]
        lines += columns([("Order by, to meet it in", "50", "80", "95 of 100"), *rows])
    if still and not worth and all(parcel.cap < 0.5 for parcel in still):
        lines.append("However early its parcels come, it is met in fewer than 50 of 100.")
    return lines


def _picture(spread: "Spread", release: int, words: Words) -> list[str]:
    """A cell a stretch of time, the darker the more often it is ready in it."""
    fullest = max(spread.shares)
    if fullest <= 0:
        return []
    top = len(_SHADES) - 1
    cells = "".join(
        _SHADES[0 if share == 0 else max(1, round(share / fullest * top))]
        for share in spread.shares
    )
    width = (spread.end - spread.start) // len(cells)
    at = min((release - spread.start) // width, len(cells) - 1)
    return [
        f"  [{cells}] {words.moment(spread.start)} to {words.moment(spread.end)}",
        f"   {' ' * at}^ release",
    ]


def _row(parcel: "ParcelOdds", now: int, words: Words) -> tuple[str, str, str, str]:
    cells = [
        _moment(moment, share, parcel, now, words) for share, moment in parcel.order_by.items()
    ]
    return (clean(parcel.title, limit=40), cells[0], cells[1], cells[2])


def _moment(moment: int | None, share: int, parcel: "ParcelOdds", now: int, words: Words) -> str:
    if moment is None:
        return "not to be had" if parcel.cap * 100 < share else "-"
    return "too late now" if moment < now else words.moment(moment)
