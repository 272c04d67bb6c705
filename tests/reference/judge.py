"""Rows, dates, verdicts, parcels and money of an answer against the contract's definitions."""

from collections.abc import Iterator
from typing import Any

from tests.reference.acts import Act, Key
from tests.reference.answer import Fault, Row, Table, minute
from tests.reference.dates import Dates
from tests.reference.expand import Net
from tests.reference.feasible import Plan
from tests.reference.retime import last_stage
from tests.reference.timing import Span


class Judge:
    """One answer beside the season it is about."""

    def __init__(self, season: Table, net: Net, plan: Plan, answer: Table) -> None:
        self.season, self.net, self.plan, self.answer = season, net, plan, answer
        self.rows = plan.rows
        self.now = net.makers.now
        self.episodes = {episode["id"]: episode for episode in answer["episodes"]}
        self.tables = {e["id"]: e for e in season["episodes"] if not e["released"]}

    # ---- rows -------------------------------------------------------------------------------

    def row_faults(self) -> Iterator[Fault]:
        wanted = set(self.net.acts)
        for key, act in self.net.acts.items():
            if act.coat is not None and act.state != "dropped":
                wanted.add((key[0], f"{key[1]}.dry"))
        wanted |= {(id, "release") for id in self.tables}
        for key in sorted(wanted - set(self.rows)):
            yield Fault("row-missing", ":".join(key), "no row", doubt=key in self.net.dropped)
        replaced = {
            (id, parcel["replaces"])
            for id, episode in self.tables.items()
            for parcel in episode["parcels"]
            if "replaces" in parcel
        }
        replaced |= {
            (id, shot["id"])
            for id, episode in self.tables.items()
            for shot in episode["shots"]
            if "lost" in shot
        }
        for key in sorted(set(self.rows) - wanted - replaced):
            if key[0] in self.tables:
                yield Fault("row-extra", ":".join(key), "a row that stands for nothing", doubt=True)
        for key, act in self.net.acts.items():
            if key in self.rows:
                yield from self._row(key, act, self.rows[key])
        for id, episode in self.tables.items():
            row = self.rows.get((id, "release"))
            if row is None:
                continue
            times = [
                getattr(row, name)
                for name in (
                    "start",
                    "finish",
                    "early_start",
                    "early_finish",
                    "late_start",
                    "late_finish",
                )
            ]
            if set(times) != {episode["release"]} or row.slack_min != 0 or row.critical:
                yield Fault("release-row", id, f"{times} {row.slack_min} {row.critical}")

    def _row(self, key: Key, act: Act, row: Row) -> Iterator[Fault]:
        where = ":".join(key)
        if row.kind != act.kind:
            yield Fault("kind", where, f"{row.kind}, not {act.kind}")
        state = act.state
        if key in self.net.during and self.rows[self.net.during[key]].state == "started":
            state = row.state
        if row.state != state:
            yield Fault("state", where, f"{row.state}, not {act.state}")
        if act.state != "dropped" and row.where != act.where:
            yield Fault("where", where, f"{row.where}, not {act.where}")
        if act.kind in ("wait", "parcel") and row.who != []:
            yield Fault("who", where, f"{row.who} for a {act.kind}")
        if act.state == "done":
            dates = [row.early_start, row.early_finish, row.late_start, row.late_finish]
            if dates != [None] * 4 or row.slack_min is not None or row.slack_work_min is not None:
                yield Fault("done", where, "dates or slack of something done")
            if row.critical:
                yield Fault("done", where, "critical, though done")
            if act.kind != "parcel" and row.finish != act.done:
                yield Fault("done", where, f"finish {row.finish}, its fact {act.done}")
            begun = act.begun if act.begun is not None else act.done
            if act.kind != "parcel" and row.start != begun:
                yield Fault("done", where, f"start {row.start}, its fact {begun}")
        if act.state == "started" and act.begun is not None:
            starts = {row.start, row.early_start, row.late_start}
            if len(starts) != 1 or (act.kind != "parcel" and row.start != act.begun):
                yield Fault("started", where, f"starts {starts}, its fact {act.begun}")
        if act.state == "dropped" and row.start is not None:
            yield Fault("dropped", where, "has a start", doubt=True)
        if act.coat is not None and (dry := self.rows.get((key[0], f"{key[1]}.dry"))):
            yield from self._dry(key, act, row, dry)

    def _dry(self, key: Key, act: Act, row: Row, dry: Row) -> Iterator[Fault]:
        where = f"{key[0]}:{dry.id}"
        if dry.kind != "dry" or dry.who != [] or dry.where != act.where:
            yield Fault("dry", where, f"{dry.kind} {dry.who} {dry.where}")
        if row.finish is None:
            return
        if dry.start != row.finish:
            yield Fault("dry", where, "does not start at its coat's finish")
        assert act.coat is not None
        ends = {stage: act.coat.over(int(row.finish), stage) for stage in act.coat.stages}
        meant = last_stage(self.plan, key)
        if dry.finish != ends[meant]:
            loose = dry.finish in ends.values()
            yield Fault(
                "dry",
                where,
                f"over at {dry.finish}, by {meant} {ends[meant]}; {ends}",
                doubt=loose and (act.state == "done" or meant != "handle"),
            )
        state = "open"
        if act.state == "done":
            state = "done" if int(dry.finish) <= self.now else "started"
        if dry.state != state:
            yield Fault("state", where, f"{dry.state}, not {state}")

    # ---- dates ------------------------------------------------------------------------------

    def date_faults(self, dates: Dates) -> Iterator[Fault]:
        if dates.early is None:
            return
        # Where nothing meets the release, late dates past a window say what the words leave open.
        softly = not dates.feasible and any(
            len(link.alternatives) > 1 or link.alternatives[0][1] is not None
            for link in self.net.links
        )
        for key, early in dates.early.items():
            act, row = self.net.acts[key], self.rows.get(key)
            if row is None or act.state in ("done", "dropped"):
                continue
            where = ":".join(key)
            if (
                act.state == "open"
                and row.start is not None
                and (row.start < early[0] or row.finish < early[1])
            ):
                lost = self.episodes[key[0]]["ready_by"] is None
                yield Fault("earlier-than-early", where, f"plan {row.start}, early {early}", lost)
            if act.state == "open" and (row.early_start, row.early_finish) != early:
                said = (row.early_start, row.early_finish)
                yield Fault("early", where, f"{said}, by definition {early}")
            if act.state == "started" and row.early_finish != early[1]:
                yield Fault("early", where, f"finish {row.early_finish}, by definition {early[1]}")
            late = dates.late.get(key)
            yield from self._late(key, act, row, late, dates, softly=softly)
            yield from self._slack(key, row)
            dry = self.rows.get((key[0], f"{key[1]}.dry"))
            if act.coat is not None and dry is not None:
                yield from self._dry_dates(key, act, dry, early, late, softly=softly)

    def _late(
        self, key: Key, act: Act, row: Row, late: Span | None, dates: Dates, *, softly: bool
    ) -> Iterator[Fault]:
        where = ":".join(key)
        said = (row.late_start, row.late_finish)
        if act.behind and act.upper is None and said != (None, None):
            yield Fault("late-behind", where, f"{said} behind the release")
            return
        if key in dates.impossible:
            return
        if act.state == "started":
            if late is not None and row.late_finish == dates.other_finish.get(key):
                return
            if act.due is None and late is not None and row.late_finish != late[1]:
                yield Fault(
                    "late",
                    where,
                    f"{row.late_finish}, by definition {late[1]}",
                    doubt=softly or act.one_go,
                )
            if act.due is not None and row.late_finish != dates.raw_finish[key]:
                yield Fault(
                    "late-started",
                    where,
                    f"{row.late_finish}, bound {dates.raw_finish[key]}",
                    doubt=True,
                )
            return
        if said != (late or (None, None)):
            doubt = softly or not act.required or act.behind
            if late is not None and said == (late[0], dates.other_finish.get(key)):
                doubt = True  # "the best candidate for each date"
            yield Fault("late", where, f"{said}, by definition {late}", doubt=doubt)

    def _slack(self, key: Key, row: Row) -> Iterator[Fault]:
        where = f"{key[0]}:{row.id}"
        if row.late_finish is None or row.early_finish is None:
            if row.slack_min is not None or row.slack_work_min is not None:
                yield Fault("slack", where, "slack without late dates")
            return
        slack = row.late_finish - row.early_finish
        if row.slack_min != slack:
            yield Fault("slack", where, f"{row.slack_min}, not {slack}")
        act = self.net.acts.get(key)
        worked = slack
        if row.id == key[1] and row.start is None:
            return  # no plan: whose hours would be meant is not said
        if act is not None and act.kind in ("hands", "shot") and row.id == key[1]:
            hours = self.net.makers.hours(act, tuple(row.who))
            worked = hours.count(row.early_finish, row.late_finish)
        if row.slack_work_min != worked:
            yield Fault("slack-work", where, f"{row.slack_work_min}, not {worked}")

    def _dry_dates(
        self, key: Key, act: Act, dry: Row, early: Span, late: Span | None, *, softly: bool
    ) -> Iterator[Fault]:
        where = f"{key[0]}:{dry.id}"
        coat = act.coat
        if dry.state == "done" or coat is None or dry.finish is None:
            return
        stage = last_stage(self.plan, key)
        wanted = (early[1], coat.over(early[1], stage))
        if (dry.early_start, dry.early_finish) != wanted:
            yield Fault("early", where, f"{(dry.early_start, dry.early_finish)}, {wanted}")
        if act.state != "done" and late is not None and dry.late_finish is not None:
            wanted = (late[1], coat.over(late[1], stage))
            said = (dry.late_start, dry.late_finish)
            if said != wanted:
                either = softly or len(act.candidates) > 1
                yield Fault("late", where, f"{said}, by definition {wanted}", doubt=either)
        yield from self._slack(key, dry)

    # ---- verdicts ---------------------------------------------------------------------------

    def verdict_faults(self, dates: Dates | None) -> Iterator[Fault]:
        for id, episode in self.tables.items():
            said = self.episodes[id]
            scope = [self.rows[key] for key in self._scope(id) if key in self.rows]
            finishes = [row.finish for row in scope]
            ready, release = minute(said["ready_by"]), episode["release"]
            floor = minute(said["ready_floor"])
            done = all(row.state == "done" for row in scope)
            if None not in finishes and finishes and ready != max(finishes):
                yield Fault("ready-by", id, f"{ready}, last finish {max(finishes)}")
            if minute(said["release"]) != release:
                yield Fault("release", id, f"{said['release']}, not {release}")
            if ready is not None and said["spare_min"] != release - ready:
                yield Fault("spare", id, f"{said['spare_min']}, not {release - ready}")
            if ready is None and (said["spare_min"] is not None or said["verdict"] != "slips"):
                yield Fault("verdict", id, f"no plan: {said['verdict']} {said['spare_min']}")
            if ready is not None:
                verdict = "meets" if ready <= release else "slips"
                if release < self.now and done:
                    verdict = "released"
                if said["verdict"] != verdict:
                    yield Fault("verdict", id, f"{said['verdict']}, not {verdict}")
                if verdict == "meets" and not said["proved"]:
                    yield Fault("proved", id, "a plan in hand proves `meets`")
                if floor is None or floor > ready:
                    yield Fault("floor", id, f"{floor} above {ready}")
            if dates is not None and dates.early is not None:
                yield from self._bounds(id, said, dates, ready, release)
            yield from self._room(id, episode, minute(said["room_by"]))
            yield from self._money(id, said["money"], episode)
            yield from self._problems(id, said, episode)

    def _scope(self, id: str) -> list[Key]:
        keys = [key for key, act in self.net.acts.items() if key[0] == id and act.required]
        dry = [(id, f"{key[1]}.dry") for key in keys if self.net.acts[key].coat is not None]
        return keys + dry

    def _bounds(
        self, id: str, said: Any, dates: Dates, ready: int | None, release: int
    ) -> Iterator[Fault]:
        assert dates.early is not None
        ends = [0]
        for key in self._scope(id):
            if key in dates.early:
                ends.append(dates.early[key][1])
            elif key[1].endswith(".dry") and (coat := self.net.acts[id, key[1][:-4]].coat):
                finish = dates.early[id, key[1][:-4]][1]
                stages = self.net.stages.get((id, key[1][:-4])) or {"handle"}
                ends.append(max(coat.over(finish, stage) for stage in stages))
        bound = max(ends)
        if ready is not None and ready < bound:
            yield Fault("ready-by", id, f"{ready} is sooner than any dates allow, {bound}")
        if ready is None:
            yield Fault("no-plan", id, "dates exist, the plan does not", doubt=True)
        floor = minute(said["ready_floor"])
        if floor is not None and floor < bound:
            yield Fault("floor", id, f"{floor} below the dates' own bound {bound}", doubt=True)
        if bound > release and not (said["verdict"] == "slips" and said["proved"]):
            yield Fault("proved", id, "the dates alone prove `slips`", doubt=ready is not None)

    def _room(self, id: str, episode: Table, said: int | None) -> Iterator[Fault]:
        shots = [
            key
            for key, act in self.net.acts.items()
            if key[0] == id and act.kind == "shot" and act.required and act.state == "open"
        ]
        before: set[Key] = set()
        waiting = list(shots)
        while waiting:
            for link in self.net.into(waiting.pop()):
                if link.first not in before:
                    before.add(link.first)
                    waiting.append(link.first)
        moments = []
        for key in before:
            act = self.net.acts[key]
            if key[0] != id or act.where != episode["room"] or act.kind != "hands":
                continue
            if not act.required or key not in self.rows:
                continue
            moments.append(self.rows[key].late_finish)
            if (dry := self.rows.get((id, f"{key[1]}.dry"))) is not None:
                moments.append(dry.late_finish)
        known = [moment for moment in moments if moment is not None]
        expected = max(known) if known and episode["room"] is not None else None
        if said != expected:
            yield Fault("room-by", id, f"{said}, by definition {expected}", doubt=True)

    def _money(self, id: str, said: Table, episode: Table) -> Iterator[Fault]:
        tables = [*episode["parcels"]]
        for job in episode["jobs"]:
            if "dropped" in job or job.get("fallback_only"):
                continue
            tables += [job, *(s for s in job["steps"] if not s["dropped?"])]
        tables = [table for table in tables if not table.get("fallback_only")]
        planned = sum(
            table.get("paid", table.get("cost", 0)) - table.get("refunded", 0) for table in tables
        )
        paid = sum(table.get("paid", 0) - table.get("refunded", 0) for table in tables)
        budget = episode["budget"]
        left = None if budget is None else budget - planned
        wanted = {"budget": budget, "planned": planned, "paid": paid, "left": left}
        for name, value in wanted.items():
            if (said[name] is None) != (value is None) or (
                value is not None and abs(said[name] - value) > 0.005
            ):
                failed = any("failed" in table for table in tables)
                yield Fault("money", id, f"{name} {said[name]}, not {value}", doubt=failed)

    def _problems(self, id: str, said: Table, episode: Table) -> Iterator[Fault]:
        """Warnings whose cause stands in the files."""
        codes = {problem["code"] for problem in said["problems"]}
        wanted: set[str] = set()
        for shot in episode["shots"]:
            if "taken" in shot and not shot.get("backed_up") and "lost" not in shot:
                wanted.add("not-backed-up")
        for parcel in episode["parcels"]:
            replaced = any(p.get("replaces") == parcel["id"] for p in episode["parcels"])
            if "failed" in parcel and not replaced:
                wanted.add("order-again")
        if any(key[0] == id for key in self.net.needed):
            wanted.add("optional-but-needed")
        cushion, spare = self.season["cushion"], said["spare_min"]
        if cushion is not None and said["verdict"] == "meets" and spare < cushion:
            wanted.add("cushion")
        for code in sorted(wanted - codes):
            yield Fault("problem", id, f"no `{code}`")
