"""What `compare` says: a paragraph an idea, the earliest release first."""

from episodes.answers.compare import CompareAnswer, IdeaAnswer, Try
from episodes.exports.safe_text import clean
from episodes.exports.text_odds import in_words
from episodes.exports.text_words import Words, length, price, worked


def compare_text(answer: CompareAnswer) -> str:
    """The ideas by the release they can make, ties by what they cost the others."""
    words = Words(answer.zone, answer.now)
    text = [f"Read as of {words.dated(answer.now)}."] if answer.read_as_of else []
    if not answer.ideas:
        text.append("No idea to compare: put a room without a month into ideas/NAME.toml.")
    for idea in sorted(answer.ideas, key=_by_release):
        text += _idea(idea, answer, words)
    return "\n".join(text)


def _by_release(idea: IdeaAnswer) -> tuple[bool, int, int, str]:
    release = 0 if idea.earliest is None else idea.earliest.release
    return idea.earliest is None, release, idea.delays_others, idea.id


def _idea(idea: IdeaAnswer, answer: CompareAnswer, words: Words) -> list[str]:
    title = clean(idea.title)
    if idea.earliest is None:
        lines = [f"{title} makes no release of the coming 26 weeks."]
    else:
        lines = [
            f"{title} can be out {words.moment(idea.earliest.release)}: {_odds(idea.earliest)}"
        ]
    if idea.next is not None and (idea.earliest is None or idea.next != idea.earliest):
        lines.append(f"  {_next(idea.next, words)}")
    if idea.held_by:
        since = "" if idea.held_from is None else f", {words.moment(idea.held_from)}"
        lines.append(f"  What holds it back most: {clean(idea.held_by)}{since}.")
    hours = ", ".join(
        f"{clean(answer.people.get(person, person))} {worked(minutes)}"
        for person, minutes in idea.hands.items()
    )
    cost = price(idea.cost, answer.currency)
    without = f" and {idea.unpriced} without a price" if idea.unpriced else ""
    lines.append(f"  Work: {hours or 'none'}. Cost: {cost}{without}.")
    lines.append(f"  {_delays(idea)}")
    return lines


def _odds(tried: Try) -> str:
    spare = "nothing to spare" if not tried.spare_min else f"{length(tried.spare_min)} to spare"
    if tried.on_time is None:
        return f"{spare}."
    return f"{spare}, {in_words(tried.on_time)}."


def _next(tried: Try, words: Words) -> str:
    release = words.moment(tried.release)
    if tried.spare_min is None:
        return f"The next free one, {release}, it slips: no plan was found for it."
    proof = "" if tried.proved else ", as far as was searched"
    return f"The next free one, {release}, it slips by {length(-tried.spare_min)}{proof}."


def _delays(idea: IdeaAnswer) -> str:
    if not idea.delays:
        return "No other room is ready later for it."
    parts = []
    for delay in idea.delays:
        part = f"{clean(delay.title)} by {length(delay.minutes)}"
        if delay.before == "meets" and delay.after == "slips":
            part += ", which then slips"
        parts.append(part)
    return f"Later for it: {'; '.join(parts)}."
