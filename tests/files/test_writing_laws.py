"""Laws of changing a plan: undone, the same bytes are there; a bridge does what `dropped` does."""

import tempfile
import tomllib
from datetime import date
from pathlib import Path
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from episodes.answers.check import check
from episodes.files import journal
from episodes.files.editing import Edit, EditError, edited
from episodes.files.reading import read_season
from episodes.files.saving import texts_of
from episodes.files.writing import (
    AddStep,
    AddTable,
    MoveStep,
    Op,
    Put,
    Remove,
    Rename,
    changed,
    save,
)
from episodes.model.season import Season
from episodes.problems import PlanError
from tests.files.written_season import EPISODE, FILE, STUDIO, TEXTS

WORDS = st.text(max_size=12)
KINDS = ("step", "parcel", "shot", "job", "fallback")


def ids(data: dict[str, Any], kind: str) -> list[str]:
    if kind == "step":
        return [f"{job['id']}.{step['id']}" for job in data["job"] for step in job.get("step", ())]
    return [table["id"] for table in data.get(kind, ())]


@st.composite
def op_on(draw: st.DrawFn, data: dict[str, Any]) -> Op:
    """A change of the episode as it stands."""
    job = draw(st.sampled_from(data["job"]))
    own = [step["id"] for step in job.get("step", ())]
    place = draw(st.sampled_from([None, "", *own]))
    fresh = draw(st.sampled_from(["lumber", "cut", "new-1", "new-2", "paint"]))
    what = draw(st.sampled_from(["put", "step", "parcel", "move", "rename", "remove"]))
    kind = draw(st.sampled_from([kind for kind in KINDS if ids(data, kind)]))
    id = draw(st.sampled_from(ids(data, kind)))
    match what:
        case "put":
            key = draw(st.sampled_from(["title", "note"]))
            return Put(kind=kind, id=id, key=key, value=draw(st.one_of(st.none(), WORDS)))
        case "step":
            step = {"id": fresh, "title": draw(WORDS), "hands": "30min"}
            return AddStep(job=job["id"], entries=step, after=place)
        case "parcel":
            return AddTable(
                kind="parcel", entries={"id": fresh, "title": draw(WORDS), "lead": "1d"}
            )
        case "move":
            step = draw(st.sampled_from(ids(data, "step")))
            return MoveStep(id=step, job=job["id"], after=place)
        case "rename":
            return Rename(kind=kind, id=id, new=fresh)
        case _:
            return Remove(kind=kind, id=id)


@given(st.data(), st.booleans())
@settings(max_examples=20, deadline=None)
def test_as_many_undos_as_changes_give_back_the_same_bytes_and_redos_the_others(data, windows):
    texts = {name: text.replace("\n", "\r\n") if windows else text for name, text in TEXTS.items()}
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for file, text in texts.items():
            (folder / file).write_bytes(text.encode())
        states = [texts_of(folder)]
        for number in range(data.draw(st.integers(1, 5))):
            now = tomllib.loads(states[-1][FILE])
            if not now.get("job"):
                break
            op = data.draw(op_on(now))
            try:
                change = save(folder, FILE, [op], f"change {number}", clock=0)
            except (PlanError, EditError):
                assert texts_of(folder) == states[-1], "refused, so nothing is written"
                continue
            if change.files:
                states.append(texts_of(folder))
        for before, after in zip(states[-2::-1], states[:0:-1], strict=True):
            assert texts_of(folder) == after
            journal.undo(folder)
            assert texts_of(folder) == before
        assert {file: (folder / file).read_bytes().decode() for file in texts} == texts
        for after in states[1:]:
            journal.redo(folder)
            assert texts_of(folder) == after


@given(st.data())
@settings(max_examples=40, deadline=None)
def test_lines_that_a_change_is_not_about_stay_in_their_order(data):
    op = data.draw(op_on(tomllib.loads(EPISODE)))
    if isinstance(op, Remove | MoveStep | Rename):
        return
    try:
        after = changed(TEXTS, FILE, [op])[FILE]
    except (PlanError, EditError):
        return
    lines = iter(after.splitlines())
    about = isinstance(op, Put)
    missing = [line for line in EPISODE.splitlines() if line not in lines and not about]
    assert missing == []
    if about:
        # A value on its line, or one more line, or one less.
        assert abs(len(after.splitlines()) - len(EPISODE.splitlines())) <= 1


# ---------------------------------------------------------------------------- bridges


@st.composite
def chained(draw: st.DrawFn) -> tuple[str, str]:
    """An episode of jobs whose steps wait for one another, and a step of it."""
    lines = ['room = "laundry"', "", "[[parcel]]", 'id = "lumber"', 'lead = "3d"']
    before: list[str] = ["lumber"]
    names = []
    for job in ("one", "two"):
        lines += ["", "[[job]]", f'id = "{job}"']
        if draw(st.booleans()):
            lines.append(f'after = ["{draw(st.sampled_from(before))}"]')
        own: list[str] = []
        for number in range(draw(st.integers(2, 4))):
            id = f"s{number}"
            lines += ["", "[[job.step]]", f'id = "{id}"', f'hands = "{draw(st.integers(1, 3))}h"']
            for key in ("after", "also_after"):
                if draw(st.integers(0, 3)) == 0:
                    waits = []
                    for name in draw(st.lists(st.sampled_from(before), max_size=2, unique=True)):
                        gap = draw(st.sampled_from(["", "2h", "1d"]))
                        waits.append(
                            f'{{ step = "{name}", gap = "{gap}" }}' if gap else f'"{name}"'
                        )
                    lines.append(f"{key} = [{', '.join(waits)}]")
            own.append(f"{job}.{id}")
            before.append(f"{job}.{id}")
        names += own
    return "\n".join(lines) + "\n", draw(st.sampled_from(names))


def dates(texts: dict[str, str]) -> dict[str, tuple[int | None, int | None]]:
    folder = Path("/season-that-is-nowhere")
    season: Season = read_season(
        folder / "studio.toml", clock=0, overrides={folder / n: t for n, t in texts.items()}
    )
    rows = check(season).episode("2027-05-laundry").steps
    return {row.id: (row.early_start, row.start) for row in rows if row.state != "dropped"}


@given(chained())
@settings(max_examples=40, deadline=None)
def test_a_step_taken_out_of_the_file_leaves_the_dates_that_dropping_it_does(plan):
    text, step = plan
    texts = {"studio.toml": STUDIO, FILE: text}
    day = date(2027, 3, 19)
    drop = Edit(kind="step", id=step, key="dropped", value=day)
    dropped = dates({**texts, FILE: edited(text, [drop], file=FILE)})
    without = changed(texts, FILE, [Remove(kind="step", id=step)])
    assert dates(without) == dropped
