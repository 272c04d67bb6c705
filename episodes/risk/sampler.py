"""The length of everything in every sample, facts kept.

What is certain stays as planned: what is done, what a fact leaves no doubt of (`left`), what has
one value. What has begun or is on its way is drawn on the condition that it is not over yet, so
that no delay ever makes the odds better. An arrival expected by promise is as far from the
promised one, in the carrier's days, as the drawn lead from the likely one.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from episodes.amounts import Estimate
from episodes.calendars.working_time import open_minutes_before
from episodes.model.episode import Episode, Parcel, Shot, Step
from episodes.network.activity import Activity
from episodes.network.hours import Hours
from episodes.network.timing import Delivery, Expected, Hands, Timing, Wait
from episodes.risk.draws import Draws, Rows
from episodes.risk.estimates import (
    CUT,
    Minutes,
    Scores,
    amounts,
    score_of_more,
    scores_given_more,
)
from episodes.risk.streams import Streams
from episodes.risk.timing import Amount, RowCoat, RowDelivery, RowExpected, RowTiming
from episodes.trade.products import STAGES, Stage


class Sampler:
    """Draws the lengths of a plan.

    Attributes:
        uncertain: activities whose own length differs from sample to sample, and coats whose
            drying does.
    """

    def __init__(self, rows: Rows, streams: Streams) -> None:
        self.rows = rows
        self.layout = rows.layout
        self.streams = streams
        network = rows.layout.network
        self.now = network.now
        self._hours = Hours(network.season, network.start, network.end)
        self.uncertain: set[int] = set()
        self.uncertain_drying: set[int] = set()

    def draw(self) -> Draws:
        activities = self.layout.activities
        timings: list[RowTiming | None] = [None] * len(activities)
        coats: list[RowCoat | None] = [None] * len(activities)
        for episode in self.layout.network.season.episodes:
            during = self._filmed_during(episode)
            items: list[Step | Shot | Parcel] = [s for job in episode.jobs for s in job.steps]
            items += [*episode.shots, *episode.parcels]
            for item in items:
                index = self.layout.network.index.get((episode.id, item.id))
                if index is None:
                    continue
                activity = activities[index]
                if isinstance(item, Parcel):
                    if not activity.done:
                        timings[index] = self._parcel(activity, item)
                    continue
                coats[index] = coat = self._coat(activity, item)
                if not activity.done:
                    touch = 0 if coat is None else coat.times.get("touch", 0)
                    timings[index] = self._work(activity, item, during.get(index, []), touch)
        for activity in activities:
            if timings[activity.index] is None and not activity.done:
                timings[activity.index] = self.rows.timing(self._planned(activity))
        return Draws(self.streams.samples, timings, coats)

    def _planned(self, activity: Activity) -> Timing:
        return self.layout.retimer.base.timings[activity.index][0]

    def _filmed_during(self, episode: Episode) -> dict[int, list[Shot]]:
        found: dict[int, list[Shot]] = {}
        for shot in episode.shots:
            index = self.layout.network.during.get((episode.id, shot.id), -1)
            if index >= 0 and shot.hands is not None:
                found.setdefault(index, []).append(shot)
        return found

    # -- work and waits ------------------------------------------------------------------------

    def _work(
        self, activity: Activity, item: Step | Shot, during: Sequence[Shot], touch: Amount
    ) -> RowTiming:
        planned = self._planned(activity)
        estimate = item.hands if isinstance(item, Shot) else item.hands or item.wait
        told = isinstance(item, Step) and item.left is not None
        if estimate is None or told or not isinstance(planned, (Hands, Wait)):
            return self.rows.timing(planned, touch=touch)
        crew = self._crew(activity, item) if isinstance(planned, Hands) else ()
        filmed = [self._shot_length(activity, shot) for shot in during]
        passed = self._passed(activity, planned)
        certain = estimate.certain and all(
            shot.hands is None or shot.hands.certain for shot in during
        )
        if certain:
            return self.rows.timing(planned, touch=touch)
        self.uncertain.add(activity.index)
        name = f"{activity.episode}:{activity.id}"
        extra = np.sum(filmed, axis=0, dtype=np.int32) if filmed else np.int32(0)
        scores = self.streams.scores(name, crew)
        if passed is None:
            work = amounts(estimate, scores) + extra
        else:
            beyond = passed - np.asarray(extra, np.int64)
            drawn = _given_more(estimate, scores, beyond)
            # Longer than anything expected: what is left is what the plan says.
            work = np.where(drawn < 0, planned.work, drawn + extra - passed).astype(np.int32)
        if isinstance(planned, Hands):
            work = np.maximum(work, 1)
        return self.rows.timing(planned, work, touch)

    def _crew(self, activity: Activity, item: Step | Shot) -> tuple[str, ...]:
        people = item.who.people
        placed = self.layout.plan.placed[activity.index]
        if item.who.any_of and people:
            people = (people[0 if placed is None else placed.choice],)
        return tuple(f"crew:{person}" for person in dict.fromkeys(people))

    def _shot_length(self, activity: Activity, shot: Shot) -> Minutes:
        assert shot.hands is not None
        crew = tuple(f"crew:{person}" for person in shot.who.people)
        name = f"{activity.episode}:{shot.id}"
        return amounts(shot.hands, self.streams.scores(name, crew))

    def _passed(self, activity: Activity, planned: Hands | Wait) -> int | None:
        """Minutes of its own already spent on what has begun; None for what has not."""
        if activity.state != "started" or activity.fact_start is None:
            return None
        if isinstance(planned, Wait):
            return self.now - activity.fact_start
        openings = planned.openings
        return open_minutes_before(openings, self.now) - open_minutes_before(
            openings, activity.fact_start
        )

    # -- drying --------------------------------------------------------------------------------

    def _coat(self, activity: Activity, item: Step | Shot) -> RowCoat | None:
        coat = activity.coat
        if coat is None:
            return None
        estimates = coat.coating.times
        if all(estimate.certain for estimate in estimates.values()):
            return self.rows.coat(activity)
        space = () if activity.where is None else (f"space:{activity.where}",)
        scores = self.streams.scores(f"{activity.episode}:{activity.id}.dry", space)
        row = self.layout.network.dries[activity.index]
        if activity.done:
            assert activity.fact_finish is not None
            if coat.stage_end(row.stage, activity.fact_finish) <= self.now:
                return self.rows.coat(activity)
            least = self._still_wet(activity, row.stage, activity.fact_finish)
            if least is None:
                return self.rows.coat(activity)
            scores = scores_given_more(scores, least)
        self.uncertain_drying.add(activity.index)
        times: dict[Stage, Amount] = {}
        before: Amount = 0
        for stage in STAGES:
            if stage in estimates:
                # One score for all stages: a slow coat is slow throughout, in order.
                before = np.maximum(amounts(estimates[stage], scores), before).astype(np.int32)
                times[stage] = before
        return self.rows.coat(activity, times)

    def _still_wet(self, activity: Activity, stage: Stage, finish: int) -> float | None:
        """The least score with which the stage is not over by now; None where none is."""
        coat = activity.coat
        assert coat is not None
        estimate = coat.coating.times[stage]
        curve = coat.recoat_curve if stage == "recoat" else coat.curve
        low, high = 0, int(amounts(estimate, np.array([CUT]))[0])
        if curve.over(finish, high) <= self.now:
            return None
        while low < high:
            middle = (low + high) // 2
            if curve.over(finish, middle) > self.now:
                high = middle
            else:
                low = middle + 1
        return float(score_of_more(estimate, low - 1))

    # -- parcels -------------------------------------------------------------------------------

    def _parcel(self, activity: Activity, parcel: Parcel) -> RowTiming:
        planned = self._planned(activity)
        assert isinstance(planned, (Delivery, Expected))
        settle = self._settle(activity, parcel, planned)
        lead = parcel.lead
        carrier = () if parcel.carrier is None else (f"carrier:{parcel.carrier}",)
        known = lead is None or lead.amount.certain
        scores = self.streams.scores(f"{activity.episode}:{activity.id}", carrier)
        if isinstance(planned, Delivery):
            drawn = None
            if lead is not None and not known:
                self.uncertain.add(activity.index)
                drawn = amounts(lead.amount, scores, days=lead.workdays)
            timing = self.rows.timing(planned, drawn)
            assert isinstance(timing, RowDelivery)
            return replace(timing, settle=settle)
        if known or parcel.arrived is not None:
            return RowExpected(self.layout.at(planned.arrival_at), settle)
        self.uncertain.add(activity.index)
        return RowExpected(self._on_its_way(parcel, planned, scores), settle)

    def _settle(self, activity: Activity, parcel: Parcel, planned: Delivery | Expected) -> Amount:
        estimate = parcel.settle
        if estimate.certain:
            return estimate.likely
        self.uncertain.add(activity.index)
        scores = self.streams.own(f"{activity.episode}:{activity.id}.settle")
        here = parcel.arrived is not None and isinstance(planned, Expected)
        passed = self.now - parcel.arrived if here and parcel.arrived is not None else -1
        settle = _given_more(estimate, scores, passed)
        return np.where(settle < 0, estimate.likely, settle).astype(np.int32)

    def _on_its_way(self, parcel: Parcel, planned: Expected, scores: Scores) -> Minutes:
        """Arrivals of what is expected, none before now."""
        assert parcel.lead is not None
        estimate, workdays = parcel.lead.amount, parcel.lead.workdays
        arrive = self._arrival_of(parcel, planned)
        most = int(amounts(estimate, np.array([CUT]), days=workdays)[0])
        low, high = 0, most
        if arrive(most) < self.now:
            # Later than anything expected: the plan counts on the carrier's next day.
            return np.full(scores.shape, self.layout.at(planned.arrival_at), np.int32)
        while low < high:
            middle = (low + high) // 2
            if arrive(middle) >= self.now:
                high = middle
            else:
                low = middle + 1
        least = score_of_more(estimate, low - 1, days=workdays)
        drawn = amounts(estimate, scores_given_more(scores, least), days=workdays)
        leads, where = np.unique(np.maximum(drawn, low), return_inverse=True)
        moments = [self.layout.at(arrive(lead)) for lead in leads.tolist()]
        return np.array(moments, np.int32)[where]

    def _arrival_of(self, parcel: Parcel, planned: Expected) -> Callable[[int], int]:
        """From a lead to the arrival of a parcel that was ordered, promised or is tried."""
        assert parcel.lead is not None
        workdays, likely = parcel.lead.workdays, parcel.lead.amount.likely
        days = self._hours.carrier(parcel.carrier)
        ordered, promised = parcel.ordered, parcel.promised
        told = promised
        if promised is None and ordered is not None:
            told = days.arrival(ordered, likely) if workdays else ordered + likely
        if told is not None and told < self.now:
            told = days.next_arrival(self.now)
        if ordered is None or told != planned.arrival_at:
            # An arrival that is tried counts as one that is promised.
            promised = promised if told == planned.arrival_at else planned.arrival_at
        if promised is not None:
            expected = promised
            if workdays:
                return lambda lead: days.later(expected, lead - likely)
            return lambda lead: expected + lead - likely
        assert ordered is not None
        since = ordered
        if workdays:
            return lambda lead: days.arrival(since, lead)
        return lambda lead: since + lead


def _given_more(estimate: Estimate, scores: Scores, passed: npt.NDArray[np.int64] | int) -> Minutes:
    """Amounts of more than `passed`; -1 where the estimate knows of none."""
    least = score_of_more(estimate, passed)
    drawn = amounts(estimate, scores_given_more(scores, least))
    return np.where(least > CUT, -1, np.maximum(drawn, passed + 1)).astype(np.int32)
