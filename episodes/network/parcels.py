"""Parcels as activities: from the order to usable, by lead, by promise or by the fact."""

from dataclasses import replace
from typing import Literal

from episodes.calendars.working_time import LONG_AGO, NEVER
from episodes.model.episode import Episode, Parcel
from episodes.network.activity import Activity, Choice, Network
from episodes.network.draft import Draft
from episodes.network.timing import Delivery, Expected, Timing
from episodes.problems import Problem


def add_parcel(draft: Draft, episode: Episode, order: int, parcel: Parcel) -> None:
    now = draft.season.now
    days = draft.hours.carrier(parcel.carrier)
    settle = parcel.settle.likely
    failed = parcel.failed is not None
    replaced = (episode.id, parcel.id) in draft.replaced
    ordered, arrived, promised = parcel.ordered, parcel.arrived, parcel.promised
    if failed and not replaced:
        ordered = arrived = promised = None
        draft.problems.append(
            (
                episode.id,
                Problem(
                    level="warning",
                    code="order-again",
                    where=parcel.place,
                    text=f'"{parcel.title}" came {parcel.failed} and nothing replaces it; '
                    "the plan orders it again now.",
                    mend=f'Order it, and add a parcel with replaces = "{parcel.id}".',
                    subject=parcel.id,
                ),
            )
        )
    workdays = parcel.lead is not None and parcel.lead.workdays
    lead = parcel.lead.amount.likely if parcel.lead is not None else 0
    timing: Timing
    state: Literal["open", "started", "done"]
    fact_finish: int | None = None
    if arrived is not None:
        settled = arrived + settle
        timing = Expected(arrived, settle)
        state = "done" if settled <= now else "started"
        fact_finish = settled if settled <= now else None
    elif ordered is not None or promised is not None:
        if promised is not None:
            expected = promised
        else:
            delivery = Delivery(days if workdays else None, lead, 0)
            expected = delivery.arrival(ordered if ordered is not None else now)
        if expected < now:
            late = expected
            expected = days.next_arrival(now)
            draft.problems.append((episode.id, _overdue(parcel, late, draft)))
        timing = Expected(expected, settle)
        state = "started" if ordered is not None else "open"
    else:
        timing = Delivery(days if workdays else None, lead, settle)
        state = "open"
    draft.add(
        Activity(
            index=len(draft.activities),
            key=(episode.id, parcel.id),
            kind="parcel",
            state=state,
            title=parcel.title,
            choices=(Choice((), timing),),
            earliest=max(now, now if parcel.not_before is None else parcel.not_before)
            if state == "open"
            else LONG_AGO,
            at=parcel.at if state == "open" else None,
            latest_finish=NEVER
            if parcel.not_after is None or state == "done"
            else parcel.not_after + settle,
            fact_start=(ordered if ordered is not None else arrived) if state != "open" else None,
            fact_finish=fact_finish,
            optional=parcel.optional,
            required=not replaced,
            rank=(order, 0),
            work=lead,
            place=parcel.place,
        )
    )


def _overdue(parcel: Parcel, expected: int, draft: Draft) -> Problem:
    day = draft.hours.zone.local(expected)
    return Problem(
        level="warning",
        code="overdue",
        where=parcel.place,
        text=f'"{parcel.title}" was expected on {day:%Y-%m-%d %H:%M} and has not arrived; '
        "the plan counts on the carrier's next day.",
        mend="Ask the carrier, and write the new day as promised, or the day it came as arrived.",
        subject=parcel.id,
    )


def with_arrival(network: Network, index: int, arrival: int) -> Network:
    """The same network with one parcel in hand at `arrival`, whatever was said of it before."""
    activity = network.activities[index]
    timing = activity.choices[0].timing
    settle = timing.settle if isinstance(timing, (Delivery, Expected)) else 0
    changed = replace(activity, choices=(Choice((), Expected(arrival, settle)),))
    activities = (*network.activities[:index], changed, *network.activities[index + 1 :])
    return replace(network, activities=activities)
