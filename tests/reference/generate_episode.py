"""One made-up episode, job by job: builds, painting, chains of anything, filming and cutting.

Names are only waited for once they have been made up, so nothing waits for itself.
"""

from datetime import datetime, timedelta
from random import Random
from typing import Any

from tests.reference.generate_facts import given_up, happened

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


class EpisodeMaker:
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
            happened(self.random, self.now, self.jobs, self.shots, self.parcels)
        given_up(self.random, self.now, self.jobs, self.shots)
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
            sander = ["sander"] if "sander" in self.gear else None
            self._step(job, "sand", makes=["dust", "noise"], gear=sander, who=self._who())
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
