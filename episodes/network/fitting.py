"""A step that finds no opening at all is a fault, told with what would mend it."""

from episodes.model.episode import Episode
from episodes.network.activity import Activity
from episodes.network.draft import Draft
from episodes.network.timing import Gate, Hands
from episodes.problems import Problem
from episodes.trade.limits import Forbids, Outside, in_words, mends, outside


def check_fits(draft: Draft, activity: Activity, episode: Episode, ahead: int) -> None:
    """A fault where the step finds no opening at all up to 26 weeks after its release."""
    if activity.state != "open" or activity.kind in ("wait", "parcel"):
        return
    limit = max(episode.release, draft.season.now) + ahead
    if any(choice.timing.fit(activity.earliest) < limit for choice in activity.choices):
        return
    hands = [c.timing for c in activity.choices if isinstance(c.timing, Hands)]
    gates = [
        timing.gate
        for timing in hands
        if timing.gate is not None and timing.fit_hours(activity.earliest) < limit
    ]
    if gates and activity.coat is not None:
        text, mend = _closed(draft, activity, gates[0], limit)
        code = "no-open-day"
    else:
        longest = max((timing.openings.longest for timing in hands), default=0)
        one_go = any(timing.one_go for timing in hands)
        need = min((timing.work for timing in hands), default=0)
        text = (
            f'"{activity.id}" needs {need} min{" in one go" if one_go else ""}, and '
            f"the longest opening of its people, space and light is {longest} min."
        )
        mend = "Give it longer hours, other people, another space, or " + (
            "one_go = false." if one_go else "more open days."
        )
        code = "fits-nowhere"
    draft.faults.append(
        Problem(level="error", code=code, where=activity.place, text=text, mend=mend,
                subject=activity.id)
    )  # fmt: skip


def _closed(draft: Draft, activity: Activity, gate: Gate, limit: int) -> tuple[str, str]:
    """What is wrong, and its mends, where the air of the space keeps the coat out for good."""
    assert activity.coat is not None
    coating = activity.coat.coating
    space = activity.where or "the air"
    nearest: dict[Forbids, Outside] = {}
    open_days = False
    for start, end, air in gate.air:
        if end <= activity.earliest or start >= limit:
            continue
        out = outside(coating, air)
        if out is None:
            open_days = True
        elif out.why not in nearest or out.by < nearest[out.why].by:
            nearest[out.why] = out
    head = f'"{activity.id}" finds no day for its coat up to 26 weeks after the release: '
    mend = mends(nearest, space)
    if open_days:
        text = (
            f"on the days on which {space} would do for {coating.product}, nobody who may is free "
            "long enough before it closes again."
        )
        return head + text, f"{mend} Or give it longer hours on those days."
    fahrenheit = draft.season.studio.units == "us"
    said = [in_words(out, coating.product, fahrenheit=fahrenheit) for out in nearest.values()]
    return f"{head}at best {space} is at {', or at '.join(said)}.", mend
