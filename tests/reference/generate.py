"""Seasons made up by a seed: valid, of any size, with most of what the plan format offers.

`write(seed, steps, folder)` puts the files of one season there; the same seed and size give the
same files. What a step waits for always lies before it in the order in which it was made up, so
there are no circles; lengths that fit in no opening are shortened with the referee's own hours.
"""

import shutil
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

from tests.reference import generate_studio, toml_text
from tests.reference.expand import expand
from tests.reference.generate_spice import spice
from tests.reference.season import as_of, load
from tests.reference.timing import Timing

Table = dict[str, Any]

COATS = [
    "waterborne-polyurethane",
    "wall-paint",
    "oil-polyurethane",
    "aerosol-enamel",
    "hardwax-oil",
    "milk-paint",
    "waterborne-stain",
    "lacquer",
]


def write(seed: int, steps: int, folder: Path, products: dict[str, Table], **options: bool) -> Path:
    """A season of about so many steps in `folder`, which is made anew."""
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir(parents=True)
    random = Random(f"{seed}/{steps}")
    studio = generate_studio.studio(random)
    count = options.get("episodes") or min(4, 1 + (steps > 24) + (steps > 60) + (steps > 100))
    months = _months(studio["as_of"], count, steps // count, random)
    episodes: dict[str, Table] = {}
    for index, month in enumerate(months):
        maker = _Episode(random, studio, f"{month}-room-{index + 1}", list(episodes), episodes)
        episodes[maker.id] = maker.make(steps // count, facts=index == 0)
    if options.get("spiced", True):
        spice(random, studio, episodes, folder)
    for _ in range(200):
        _save(folder, studio, episodes)
        if not _mend(folder, episodes, products):
            return folder
    raise AssertionError(f"no valid season for seed {seed}")


def _months(now: datetime, count: int, steps: int, random: Random) -> list[str]:
    first = now + timedelta(days=28 + steps // 2 + random.randint(0, 20))
    month = first.year * 12 + first.month - 1
    return [f"{(month + n) // 12}-{(month + n) % 12 + 1:02}" for n in range(count)]


def _save(folder: Path, studio: Table, episodes: dict[str, Table]) -> None:
    tables = {"studio": studio, **episodes}
    for name, table in tables.items():
        (folder / f"{name}.toml").write_text(toml_text.dump(table) + "\n", encoding="utf-8")


def _mend(folder: Path, episodes: dict[str, Table], products: dict[str, Table]) -> bool:
    """Shorten what fits in no opening, or let it pause; whether anything was changed."""
    season = load(folder)
    now = as_of(season)
    assert now is not None
    net = expand(season, now, products)
    changed = False
    releases = {episode["id"]: episode["release"] for episode in season["episodes"]}
    for key, act in net.acts.items():
        if act.kind not in ("hands", "shot") or act.state in ("done", "dropped"):
            continue
        if key in net.during:
            continue
        limit = releases[key[0]] + 20 * 7 * 1440
        # Not in one lucky opening alone: again and again.
        spans = [
            Timing(net, replace(act, upper=None), who).first(act.lower + weeks * 7 * 1440)
            for who in act.candidates
            for weeks in (0, 3, 6, 9, 12)
        ]
        if all(
            span is not None and span[1] <= limit + (index % 5) * 3 * 7 * 1440
            for index, span in enumerate(spans)
        ):
            continue
        table = _find(episodes[key[0]], key[1])
        changed = True
        if any(shot["who"] for shot in act.companions):
            for shot in episodes[key[0]]["shot"]:
                if shot.get("when") == "during":
                    shot["who"] = []
        elif table.get("light"):
            del table["light"]
        elif table["hands"] != "30min":
            table["hands"] = "30min"
        elif table.get("who") != ["host"]:
            table["who"] = ["host"]
        elif "coat" in table and "dries" not in table:
            table["dries"] = {"touch": "45min", "recoat": "3h", "handle": "9h", "cure": "3d"}
        else:
            raise AssertionError(f"{key} fits nowhere")
    return changed


def _find(episode: Table, name: str) -> Table:
    if "." not in name:
        return next(shot for shot in episode["shot"] if shot["id"] == name)
    job, step = name.split(".")
    steps = next(entry["step"] for entry in episode["job"] if entry["id"] == job)
    return next(entry for entry in steps if entry["id"] == step)


class _Episode:
    """One episode, job by job."""

    def __init__(
        self,
        random: Random,
        studio: Table,
        id: str,
        nearer: list[str],
        others: dict[str, Table],
    ) -> None:
        self.random, self.studio, self.id = random, studio, id
        self.nearer, self.others = nearer, others
        self.now: datetime = studio["as_of"]
        self.people = [person["id"] for person in studio["person"]]
        self.gear = [gear["id"] for gear in studio["gear"]]
        self.jobs: list[Table] = []
        self.shots: list[Table] = []
        self.parcels: list[Table] = []
        self.names: list[str] = []
        self.closed: set[str] = set()
        self.count = 0
        self.poll = False

    def chance(self, share: float) -> bool:
        return self.random.random() < share

    def make(self, steps: int, *, facts: bool) -> Table:
        if self.chance(0.8):
            self.shots.append(self._shot("before-wide", of=None, when="before"))
            if self.chance(0.5):
                self.shots[-1]["once"] = True
        self._measure()
        while self.count < steps - 6:
            self.random.choice(
                [self._build, self._build, self._paint, self._chain, self._chain, self._lonely]
            )()
        self._closing()
        self._subject_of_before()
        if self.chance(0.5):
            self._optional()
        if self.chance(0.6):
            self._afterwards()
        if facts and self.chance(0.7):
            self._facts()
        self._drop()
        table: Table = {"title": f"Room of {self.id}", "room": "room"}
        if self.chance(0.5):
            table["budget"] = self.random.randint(200, 2000)
        if self.chance(0.3):
            table["may_start"] = (self.now + timedelta(days=self.random.randint(-5, 4))).date()
        table["parcel"], table["shot"], table["job"] = self.parcels, self.shots, self.jobs
        return {key: value for key, value in table.items() if value != []}

    # ---- parts ------------------------------------------------------------------------------

    def _hands(self, *, short: bool = False) -> str:
        if short:
            return self.random.choice(["20min", "35min", "45min..1h..2h", "30min..2h"])
        return self.random.choice(
            ["1h", "1h30..2h..4h", "2h..3h..6h", "2h30", "4h..6h..9h", "47min", "1h10..3h"]
        )

    def _who(self) -> Any:
        roll = self.random.random()
        if roll < 0.25:
            return {"any_of": self.random.sample(self.people, 2)}
        if roll < 0.4:
            return self.random.sample(self.people, 2)
        return [self.random.choice(self.people)]

    def _step(self, job: Table, id: str, **keys: Any) -> Table:
        step: Table = {"id": id, **{key: value for key, value in keys.items() if value}}
        if "hands" not in step and "wait" not in step:
            step["hands"] = self._hands()
        job["step"].append(step)
        self.count += 1
        return step

    def _job(self, id: str, **keys: Any) -> Table:
        job: Table = {"id": f"{id}-{len(self.jobs) + 1}", **keys, "step": []}
        if self.names and self.chance(0.5):
            job["after"] = [self._earlier()]
        if self.chance(0.15):
            job["cost"] = self.random.randint(5, 80)
        self.jobs.append(job)
        return job

    def _over(self, job: Table) -> None:
        """The job may be waited for from now on."""
        self.names += [f"{job['id']}.{step['id']}" for step in job["step"]]
        self.names.append(job["id"])

    def _earlier(self) -> Any:
        """Something made up before, now and then with a gap or a window, or in another episode."""
        if self.nearer and self.chance(0.08):
            other = self.random.choice(self.nearer)
            job = self.random.choice(self.others[other]["job"][:2])
            return f"{other}:{job['id']}.{job['step'][-1]['id']}"
        name = self.random.choice(self.names[-12:])
        if not self.chance(0.2) or "." not in name:
            return name
        entry: Table = {"step": name}
        form = self.random.randint(0, 4)
        if form == 0:
            entry["gap"] = self.random.choice(["2h", "1d", "95min"])
        elif form == 1:
            entry["from"] = "start"
            entry["gap"] = "3h"
        elif form == 2 and self.chance(0.5):
            entry["within"] = "9d"
        elif form == 3:
            entry["to"] = "finish"
            entry["gap"] = "30min"
        elif self.chance(0.3):
            entry["within"] = "3h"
            entry["or_after"] = "26h"
        return entry if len(entry) > 1 else name

    def _parcel(self) -> str:
        random = self.random
        id = f"parcel-{len(self.parcels) + 1}"
        parcel: Table = {"id": id, "cost": random.randint(10, 300)}
        roll = random.random()
        if roll < 0.7:
            parcel["carrier"] = random.choice(["post", "freight", "pickup"])
            parcel["lead"] = random.choice(
                ["0 workdays", "2 workdays", "4..6..12 workdays", "3..8 workdays", "1 workdays"]
            )
        elif roll < 0.85:
            parcel["lead"] = random.choice(["3 workdays", "2..4 workdays"])
        else:
            parcel["lead"] = random.choice(["3d..5d..14d", "30h", "2d..4d"])
        if self.chance(0.3):
            parcel["settle"] = random.choice(["48h", "12h", "3d"])
        if self.chance(0.3):
            parcel["return_within"] = random.choice(["14d", "30d"])
        if self.names and self.chance(0.3):
            plain = [name for name in self.names[-9:] if "." in name]
            dry = [n for n in plain if not any(w in n for w in ("coat", "prime", "edges"))]
            parcel["after"] = [random.choice(dry or ["plan-1.measure"])]
        if self.chance(0.1):
            parcel["not_before"] = "release-20d"
        if self.chance(0.35) and "after" not in parcel:
            self._ordered(parcel)
        elif self.chance(0.1) and "after" not in parcel:
            parcel["failed"] = random.choice(["damaged", "wrong", "short"])
            parcel["arrived"] = self.now - timedelta(days=2)
            if self.chance(0.5):
                self.parcels.append(parcel)
                parcel = {"id": f"{id}-again", "lead": "3 workdays", "replaces": id, "cost": 20}
        self.parcels.append(parcel)
        return id

    def _ordered(self, parcel: Table) -> None:
        ago = self.random.randint(1, 8)
        moment = self.now - timedelta(days=ago, hours=3)
        parcel["ordered"] = moment if self.chance(0.5) else moment.date()
        roll = self.random.random()
        if roll < 0.3:
            late = self.now + timedelta(days=self.random.randint(-2, 9))
            parcel["promised"] = late.date() if self.chance(0.6) else late
        elif roll < 0.55:
            arrived = self.now - timedelta(hours=self.random.randint(1, 20))
            parcel["arrived"] = arrived
            parcel["paid"] = round(parcel["cost"] * 1.1, 2)

    def _shot(self, id: str, of: str | None, when: str, **keys: Any) -> Table:
        shot: Table = {"id": id, **({"of": of} if of else {}), "when": when, **keys}
        if when != "during":
            shot["hands"] = self._hands(short=True)
        if self.chance(0.7):
            shot["gear"] = ["camera"]
        if when != "during" and self.chance(0.5):
            shot["light"] = self.random.choice(["day", "day", "dark"])
        if self.chance(0.2):
            shot["who"] = [self.random.choice(self.people)]
        return shot

    def _film(self, job: Table) -> None:
        """Maybe a shot of a hands-on step of a job."""
        steps = [step for step in job["step"] if "hands" in step]
        if not steps or not self.chance(0.6):
            return
        step = self.random.choice(steps)
        name = f"{job['id']}.{step['id']}"
        id = f"shot-{len(self.shots) + 1}"
        roll = self.random.random()
        if roll < 0.2 and not isinstance(step.get("who"), dict) and "coat" not in step:
            shot = self._shot(id, name, "during")
            shot["who"] = [] if self.chance(0.5) else ["host"]
            if self.chance(0.5):
                shot["hands"] = "15min"
            shot["gear"] = ["camera"]
        elif roll < 0.4:
            shot = self._shot(id, name, "before")
            if "after" not in step and step is not job["step"][0]:
                earlier = job["step"][job["step"].index(step) - 1]
                shot["after"] = [f"{job['id']}.{earlier['id']}"] if "coat" not in earlier else []
        elif roll < 0.8:
            shot = self._shot(id, name, "after", once=self.chance(0.5))
        else:
            shot = self._shot(id, job["id"], "after")
        if step.get("gear") and shot["when"] == "during" and "camera" in step["gear"]:
            return
        self.shots.append(
            {key: value for key, value in shot.items() if value != [] or key == "who"}
        )

    # ---- jobs -------------------------------------------------------------------------------

    def _measure(self) -> None:
        job = self._job("plan")
        self._step(job, "measure", hands="1h30")
        self._step(job, "list", hands=self._hands(), where="snug" if self.chance(0.5) else None)
        self._over(job)

    def _build(self) -> None:
        """Parts cut, glued, sanded, coated and fitted."""
        random = self.random
        job = self._job("bench", where="workshop", who=[random.choice(self.people[:2])])
        cut = self._step(job, "cut", makes=["dust", "noise"])
        if self.chance(0.7):
            cut["after"] = [self._parcel()]
        if self.chance(0.6):
            gear = {"clamps": random.randint(2, 8)}
            self._step(job, "glue", hands="1h30", gear=gear, one_go=self.chance(0.5))
            self._step(job, "set", wait=random.choice(["4h", "12h", "24h"]), gear=gear)
        if self.chance(0.6):
            gear = ["sander"] if "sander" in self.gear else None
            self._step(job, "sand", makes=["dust", "noise"], gear=gear, who=self._who())
        self._coats(job, random.randint(0, 3))
        fit = self._step(job, "fit", where="room", makes=["noise"] if self.chance(0.5) else None)
        if self.names and self.chance(0.4):
            fit["also_after"] = [self._earlier()]
        if self.chance(0.2):
            fit["alone"] = True
        self._over(job)
        self._film(job)

    def _coats(self, job: Table, count: int) -> None:
        product = self.random.choice(COATS)
        dries: Table | None = None
        if self.chance(0.2):
            dries = {"touch": "30min", "recoat": "2h", "handle": "1d", "cure": "7d"}
            if self.chance(0.5):
                dries["recoat_by"] = "60h"
        scuff = self.chance(0.5)
        who = self._who()
        for number in range(1, count + 1):
            step = self._step(job, f"coat-{number}", hands="40min", coat=product, who=who)
            if dries:
                step["dries"] = dries
            if scuff and number < count:
                # A window with two sides, or a short longest recoat time, needs the scuffing.
                self._step(job, f"scuff-{number}", hands="20min", opens_window=True, makes=["dust"])
        if count and self.chance(0.2):
            name = f"{job['id']}.coat-{count}"
            self.closed.add(name)
            self._step(
                job,
                "use",
                hands="30min",
                after=[{"step": f"coat-{count}", "stage": self.random.choice(["touch", "cure"])}],
            )

    def _paint(self) -> None:
        job = self._job("walls", where="room")
        fill = self._step(job, "fill", makes=["dust"], who=self._who())
        if self.chance(0.5):
            fill["also_after"] = [self._parcel()]
        if self.chance(0.5):
            self._step(job, "prime", hands="1h30", coat="waterborne-primer", who=self._who())
        self._coats(job, self.random.randint(1, 2))
        if self.chance(0.3):
            self._step(job, "edges", hands="1h", coat="wall-paint", surface="trim")
        self._over(job)
        self._film(job)

    def _chain(self) -> None:
        """Steps and waits of any kind."""
        random = self.random
        spaces = [space["id"] for space in self.studio["space"]]
        job = self._job("work", where=random.choice(spaces))
        for number in range(1, random.randint(2, 5) + 1):
            if self.chance(0.25):
                step = self._step(
                    job, f"s{number}", wait=random.choice(["0min", "3h", "1d", "100min"])
                )
            else:
                step = self._step(
                    job,
                    f"s{number}",
                    hands=self._hands(),
                    who=self._who() if self.chance(0.7) else None,
                    makes=random.sample(["dust", "noise", "fumes"], 1)
                    if self.chance(0.3)
                    else None,
                    needs_air=random.sample(["quiet", "fresh"], 1) if self.chance(0.15) else None,
                    light=random.choice(["day", "day", "dark"]) if self.chance(0.15) else None,
                    one_go=self.chance(0.15),
                    alone=self.chance(0.08),
                    gear=["camera"] if self.chance(0.1) else None,
                    cost=random.choice([7, -40, 12.5]) if self.chance(0.2) else None,
                )
            if self.names and self.chance(0.2):
                step["after"] = [self._earlier(), *([f"s{number - 1}"] if number > 1 else [])]
            elif self.chance(0.15):
                step["after"] = [self._parcel()]
            elif self.chance(0.05):
                step["after"] = []
            if self.chance(0.05):
                step["not_before"] = (self.now + timedelta(days=random.randint(1, 9))).date()
            if self.chance(0.04):
                step["not_after"] = "release+30d"
        self._over(job)
        self._film(job)

    def _lonely(self) -> None:
        """A job that waits for little: a poll with a fixed start, a visit."""
        job = self._job("poll", where="snug")
        job.pop("after", None)
        if self.chance(0.4) and not self.nearer and not self.poll:
            # One alone: two that overlap in a space that holds one have no plan at all.
            self.poll = True
            moment = self.now + timedelta(days=self.random.randint(1, 6))
            self._step(job, "open", wait="2d", at=moment.replace(hour=9, minute=0))
        self._step(job, "talk", hands=self._hands(short=True), needs_air=["quiet"], who=["host"])
        self._over(job)

    def _closing(self) -> None:
        """Tidy the room, film it, cut the film."""
        jobs = [job["id"] for job in self.jobs]
        tidy = self._job("tidy", where="room")
        tidy["after"] = jobs[-6:]
        self._step(tidy, "vacuum", hands="1h", makes=["noise"])
        self._step(tidy, "style", hands="2h..3h..4h", who=self._who())
        self._over(tidy)
        of = tidy["id"] if self.chance(0.6) else None
        self.shots.append(self._shot("reveal", of, "after", needs_air=["quiet"]))
        edit = self._job("edit", where="snug", who=[self.random.choice(self.people)])
        edit["after"] = ["reveal", *[shot["id"] for shot in self.shots[1:4]]]
        self._step(edit, "rough", hands="3h..5h..8h")
        self._step(edit, "voice", hands="1h", needs_air=["quiet"], one_go=True)
        self._step(edit, "export", wait="90min")
        self._step(edit, "upload", wait="3h")

    def _subject_of_before(self) -> None:
        """The first shot shows the room, so nothing there may be what it waits for."""
        for shot in self.shots:
            if shot["id"] == "before-wide" and self.chance(0.3):
                shot["of"] = self.jobs[1]["id"]

    def _optional(self) -> None:
        job = self._job("extra", where="room", optional=True)
        job["after"] = [self._earlier_name()]
        self._step(job, "make", hands=self._hands(), who=self._who())
        if self.chance(0.5):
            self._step(job, "hang", hands="1h", makes=["noise"])

    def _earlier_name(self) -> str:
        return str(self.random.choice(self.names[-12:]))

    def _afterwards(self) -> None:
        job = self._job("afterwards", where="snug")
        job["after"] = ["release"]
        self._step(job, "answer", hands="1h")
        self._step(job, "poll-runs", wait="5d")
        self._step(job, "look-back", hands="45min")

    # ---- facts ------------------------------------------------------------------------------

    def _facts(self) -> None:
        """The first jobs are done, the next step is begun."""
        moment = self.now - timedelta(days=9)
        for shot in self.shots[:1]:
            if shot["when"] == "before":
                shot["taken"] = moment
                if self.chance(0.6):
                    shot["backed_up"] = True
        done = self.jobs[0]["step"]
        if len(self.jobs) > 5 and self.chance(0.6):
            done = done + self._until_wait(self.jobs[1])
        for step in done:
            moment += timedelta(hours=self.random.randint(2, 12))
            if moment >= self.now:
                break
            step["done"] = moment if self.chance(0.7) else moment.date()
            if self.chance(0.2) and "hands" in step:
                step["started"] = moment - timedelta(minutes=50)
                step["done"] = moment
        begun = [job["step"][0] for job in self.jobs[2:5] if "hands" in job["step"][0]]
        if begun and self.chance(0.6) and not isinstance(begun[0].get("who"), dict):
            begun[0]["started"] = self.now - timedelta(minutes=self.random.randint(5, 90))
            if self.chance(0.5):
                begun[0]["left"] = "40min"

    def _until_wait(self, job: Table) -> list[Table]:
        shown = {shot.get("of", "").split(".")[0] for shot in self.shots}
        if job["id"] in shown or "after" in job or any("before" in s for s in job["step"]):
            return []
        steps = []
        for step in job["step"]:
            if "wait" in step or step.get("gear"):
                break
            steps.append(step)
        for parcel in self.parcels:
            if any(parcel["id"] in step.get("after", []) for step in steps):
                return []
        return steps[: self.random.randint(0, len(steps))]

    def _drop(self) -> None:
        """A step in the middle is given up."""
        if not self.chance(0.2):
            return
        for job in self.jobs[2:]:
            plain = [
                step
                for step in job["step"][1:-1]
                if "hands" in step
                and "done" not in step
                and "coat" not in step
                and "started" not in step
                and step["id"] in ("sand", "s2", "scuff-1")
            ]
            shown = {shot.get("of") for shot in self.shots}
            if plain and f"{job['id']}.{plain[0]['id']}" not in shown:
                plain[0]["dropped"] = (self.now - timedelta(days=1)).date()
                return
