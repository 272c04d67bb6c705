"""A step that finds no opening at all is a fault, told with what would mend it."""

from episodes.model.episode import Episode
from episodes.network.activity import Activity
from episodes.network.draft import Draft
from episodes.network.timing import Hands
from episodes.problems import Problem


def check_fits(draft: Draft, activity: Activity, episode: Episode, ahead: int) -> None:
    """A fault where the step finds no opening at all up to 26 weeks after its release."""
    if activity.state != "open" or activity.kind in ("wait", "parcel"):
        return
    limit = max(episode.release, draft.season.now) + ahead
    if any(choice.timing.fit(activity.earliest) < limit for choice in activity.choices):
        return
    hands = [c.timing for c in activity.choices if isinstance(c.timing, Hands)]
    if any(
        timing.gate is not None and timing.fit_hours(activity.earliest) < limit for timing in hands
    ):
        coating = activity.coat.coating if activity.coat is not None else None
        text = (
            f'"{activity.id}" finds no day on which {coating.product if coating else "its coat"} '
            f"may be laid in {activity.where or 'that air'}: it is too cold, too hot or too damp "
            "there up to 26 weeks after the release."
        )
        mend = "Heat or dry the space (air), move the step (where), or take another product (coat)."
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
