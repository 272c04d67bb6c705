"""The parcels of an answer: arrivals, last moments to order, days to send back."""

from collections.abc import Iterator
from datetime import timedelta

from tests.reference import values
from tests.reference.acts import Act, Key
from tests.reference.answer import Fault, Row, Table, minute
from tests.reference.dates import Dates
from tests.reference.judge import Judge


class ParcelJudge:
    """The parcels of one answer beside the season it is about."""

    def __init__(self, judge: Judge) -> None:
        self.tables, self.episodes = judge.tables, judge.episodes
        self.net, self.rows, self.now = judge.net, judge.rows, judge.now

    def faults(self, dates: Dates | None) -> Iterator[Fault]:
        for id in self.tables:
            for said in self.episodes[id]["parcels"]:
                key = (id, said["id"])
                act, row = self.net.acts.get(key), self.rows.get(key)
                if act is not None and row is not None and row.finish is not None:
                    yield from self._parcel(key, act, row, said, dates)

    def _parcel(
        self, key: Key, act: Act, row: Row, said: Table, dates: Dates | None
    ) -> Iterator[Fault]:
        where = ":".join(key)
        arrives, order_by = minute(said["arrives"]), minute(said["order_by"])
        latest = minute(said["latest_arrival"])
        if said["state"] != act.state:
            yield Fault("state", where, f"{said['state']}, not {act.state}")
        if arrives != int(row.finish) - act.settle:
            yield Fault("arrives", where, f"{arrives}, usable {row.finish} settle {act.settle}")
        if "cost" in act.raw and said["cost"] != act.raw["cost"]:
            yield Fault("cost", where, f"{said['cost']}, not {act.raw['cost']}")
        if "return_within" in act.raw and arrives is not None and "returned" not in act.raw:
            clock = self.net.makers.clock
            day = clock.day(arrives + values.minutes(act.raw["return_within"]))
            if minute(said["return_by"]) != clock.at(day + timedelta(days=1), 0):
                here = "arrived" in act.raw and "failed" not in act.raw
                yield Fault("return-by", where, str(said["return_by"]), doubt=not here)
        if act.state != "open" and order_by is not None:
            yield Fault("order-by", where, "given though ordered")
        if order_by is not None:
            if latest is None or act.arrival(order_by) > latest:
                yield Fault("order-by", where, f"{order_by} arrives after {latest}")
            elif act.arrival(order_by + 1) <= latest:
                yield Fault("order-by", where, f"{order_by} is not the last moment for {latest}")
            if order_by < self.now:
                yield Fault("order-by", where, "before now")
        elif latest is not None and act.state == "open" and latest >= act.arrival(row.start):
            yield Fault("order-by", where, "null though an order now would do", doubt=True)
        if act.state == "done" or "arrived" in act.raw or not act.required:
            return
        meets = self.episodes[key[0]]["verdict"] == "meets"
        if meets and (latest is None or arrives is None or latest < arrives):
            yield Fault("latest-arrival", where, f"{latest}, though the plan has {arrives}")
        if latest is not None and dates is not None and dates.feasible:
            bound = dates.raw_finish[key] - act.settle
            if latest > bound:
                yield Fault("latest-arrival", where, f"{latest} above the dates' bound {bound}")
