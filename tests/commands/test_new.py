"""`new`: whatever is asked for, the file is read, planned and judged; never a plan with a fault."""

import random
import re
import subprocess
import sys
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from episodes.answers.check import check
from episodes.answers.rows import EpisodeAnswer
from episodes.cli import episodes, run
from episodes.files.reading import read_season
from episodes.files.recipe_files import AROUND, load_recipes
from tests.commands.seasons import Desk

NOW = "2027-03-20T08:00"
NOW_MINUTE = 30_092_460  # the same in Chicago: 13:00 UTC
BUILDS = [id for id in load_recipes() if id not in AROUND]
TWO = ("--person", "host: mon-fri 18-21:30, sat 9-17", "--person", "builder: sat-sun 9-17")
CREWS = {
    "two": TWO,
    "one by day": ("--person", "host: daily 9-17"),
    "late evenings": ("--person", "host: daily 22-23:30"),
    "never together": ("--person", "host: mon-fri 20-21:30", "--person", "builder: sat 9-12"),
}
Say = Callable[..., str]


@pytest.fixture
def new(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Say:
    """`episodes new WORDS` in an empty folder of its own; what it printed."""

    def typed(*words: str, code: int = 0, zone: bool = True) -> str:
        place = ["--season", str(tmp_path), "--now", NOW]
        if zone and not (tmp_path / "studio.toml").exists():
            place += ["--timezone", "America/Chicago"]
        left = run(["new", *words, *place])
        out, err = capsys.readouterr()
        assert left == code, err
        return out if code == 0 else err

    return typed


def answered(folder: Path) -> EpisodeAnswer:
    """What `check` says of the only episode, read from the disk."""
    (episode,) = check(read_season(folder, clock=0, now=NOW_MINUTE)).episodes
    return episode


@pytest.mark.parametrize("recipe", BUILDS)
def test_each_recipe_alone_makes_an_episode_that_meets_its_month(
    recipe: str, new: Say, tmp_path: Path
) -> None:
    said = new("den", "--recipe", recipe, *TWO)
    episode = answered(tmp_path)
    assert episode.verdict == "meets"
    assert "Den meets Fri 7 May 09:00" in said
    assert [problem.code for problem in episode.problems if problem.level == "error"] == []
    ids = {row.id for row in episode.steps}
    assert {"clear.sort", "style.style", "edit.schedule", "after.look-back"} <= ids
    assert {"before-1", "after-1", "talk-end"} <= ids


def drawn() -> Iterator[tuple[int, list[str], str]]:
    """Ten combinations of recipes with other sizes, and a crew; the same ones every time."""
    chance = random.Random(7)
    recipes = load_recipes()
    for number in range(10):
        words = []
        for id in chance.sample(BUILDS, chance.randint(2, 5)):
            sizes = []
            for size in recipes[id].sizes:
                low, high = float(size.lowest), float(size.highest)
                value = low + (min(high, 3 * float(size.default) + 1) - low) * chance.random()
                whole = size.unit in ("count", "min")
                sizes.append(f"{size.id}={round(value) if whole else round(value, 2)}")
            words += ["--recipe", f"{id}:{','.join(sizes)}"]
        yield number, words, list(CREWS)[number % len(CREWS)]


@pytest.mark.parametrize(("number", "words", "crew"), drawn())
def test_recipes_together_can_be_planned_whoever_works(
    number: int, words: list[str], crew: str, new: Say, tmp_path: Path
) -> None:
    said = new("den", *words, *CREWS[crew])
    episode = answered(tmp_path)
    assert episode.verdict in ("meets", "slips")
    assert episode.ready_by is not None
    assert f"{len(episode.parcels)} parcel" in said


def test_the_installed_command_writes_what_the_installed_command_accepts(tmp_path: Path) -> None:
    def command(*words: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "episodes", *words],
            cwd=tmp_path, input="", capture_output=True, text=True, timeout=60, check=False,
        )  # fmt: skip

    made = command(
        "new", "home-office", "--now", NOW, "--recipe", "paint-walls:area=38,coats=2",
        "--recipe", "wood-top:length=3,width=0.7", "--timezone", "America/Chicago", *TWO,
    )  # fmt: skip
    assert (made.returncode, made.stderr) == (0, "")
    checked = command("check", "--now", NOW)
    assert (checked.returncode, checked.stderr) == (0, "")
    assert checked.stdout.startswith("Home office meets Fri 7 May 09:00")
    taken_back = command("undo", "--now", NOW)
    assert taken_back.returncode == 0
    assert [path.name for path in tmp_path.glob("*.toml")] == ["studio.toml"]
    assert command("redo", "--now", NOW).returncode == 0
    assert (tmp_path / "2027-05-home-office.toml").is_file()


def test_a_new_studio_says_who_works_when_and_has_what_the_recipes_need(
    new: Say, tmp_path: Path
) -> None:
    new(
        "den", "--recipe", "wood-top", "--name", "Two Coats", "--release", "last monday 18:30", *TWO
    )
    text = (tmp_path / "studio.toml").read_text(encoding="utf-8")
    studio = tomllib.loads(text)
    assert studio["name"] == "Two Coats"
    assert studio["timezone"] == "America/Chicago"
    assert studio["release"]["on"] == "last monday"
    assert studio["release"]["at"].isoformat() == "18:30:00"
    assert [person["id"] for person in studio["person"]] == ["host", "builder"]
    assert studio["person"][0]["hours"] == {"mon-fri": ["18:00-21:30"], "sat": ["09:00-17:00"]}
    assert [space["id"] for space in studio["space"]] == ["den", "workshop", "desk"]
    assert {"camera", "clamps", "sander"} <= {gear["id"] for gear in studio["gear"]}
    assert {"store", "yard"} == {carrier["id"] for carrier in studio["carrier"]}


def test_a_season_that_is_there_keeps_its_text_and_gets_what_it_lacks(desk: Desk) -> None:
    before = (desk.folder / "studio.toml").read_text(encoding="utf-8")
    answer = desk("new", "attic", "--recipe", "paint-walls", "--recipe", "blinds")
    assert answer.code == 0, answer.err
    after = (desk.folder / "studio.toml").read_text(encoding="utf-8")
    studio = tomllib.loads(after)
    assert [space["id"] for space in studio["space"]] == ["study", "attic", "desk"]
    assert [carrier["id"] for carrier in studio["carrier"]] == ["post", "store"]
    kept = iter(after.splitlines())
    assert all(line in kept for line in before.splitlines())
    plan = tomllib.loads((desk.folder / "2027-06-attic.toml").read_text(encoding="utf-8"))
    blinds = next(parcel for parcel in plan["parcel"] if parcel["id"] == "blinds-blinds")
    assert blinds["carrier"] == "post", "parcel post goes by that name in this studio"
    assert blinds["after"] == ["blinds.measure"]
    assert desk("undo").code == 0
    assert (desk.folder / "studio.toml").read_text(encoding="utf-8") == before
    assert not (desk.folder / "2027-06-attic.toml").exists()


def test_the_month_is_the_first_free_one_a_good_while_away(desk: Desk) -> None:
    # Read on 14 April; May is the study's, and the release of June is seven weeks away.
    assert desk("new", "attic", "--recipe", "cushions").out.startswith("2027-06-attic.toml: ")
    assert desk("new", "hall", "--recipe", "cushions").out.startswith("2027-07-hall.toml: ")


def test_an_idea_goes_into_ideas_and_plans_nothing(desk: Desk) -> None:
    answer = desk("new", "attic", "--idea", "--recipe", "rug-layout")
    assert answer.code == 0
    assert answer.out.startswith("ideas/attic.toml: ")
    assert [line for line in desk("check").out.splitlines() if "Attic" in line] == []
    season = read_season(desk.folder, clock=0)
    assert [idea.id for idea in season.ideas] == ["attic"]


def test_bare_leaves_out_what_every_episode_has(new: Say, tmp_path: Path) -> None:
    new("den", "--bare", "--recipe", "rug-layout", *TWO)
    plan = tomllib.loads((tmp_path / "2027-05-den.toml").read_text(encoding="utf-8"))
    assert [job["id"] for job in plan["job"]] == ["rug"]
    assert [shot["id"] for shot in plan["shot"]] == ["rug-unroll"]


def test_work_in_one_room_comes_in_the_order_of_dust_paint_and_cloth(
    new: Say, tmp_path: Path
) -> None:
    names = ("curtains", "paint-walls", "repair-walls", "protect-and-mask", "wall-shelf")
    new("den", *(word for name in names for word in ("--recipe", name)), *TWO)
    plan = tomllib.loads((tmp_path / "2027-05-den.toml").read_text(encoding="utf-8"))
    jobs = {job["id"]: job for job in plan["job"]}
    assert jobs["mask"]["after"] == ["clear"]
    assert jobs["repair"]["after"] == ["mask"]
    assert jobs["walls"]["after"] == ["repair"]
    assert jobs["unmask"]["after"] == ["walls"], "it comes along with the masking"
    assert jobs["curtains"]["after"] == ["unmask"]
    assert "after" not in jobs["shelves"], "the workshop waits for nothing of the room"
    studs = next(step for step in jobs["shelves"]["step"] if step["id"] == "find-studs")
    assert "unmask" in studs["also_after"]
    assert set(jobs["style"]["after"]) == {
        "mask",
        "repair",
        "walls",
        "unmask",
        "shelves",
        "curtains",
    }
    episode = answered(tmp_path)
    start = {row.id: row.start for row in episode.steps}
    assert start["repair.sand"] < start["walls.coat-1"] < start["curtains.rod"]  # type: ignore[operator]


def test_a_coat_longer_than_any_evening_comes_in_parts(new: Say, tmp_path: Path) -> None:
    said = new("den", "--recipe", "paint-walls:area=60", "--person", "host: mon-fri 18-20")
    parts = int(re.findall(r"walls\.coat-1 is longer .* now in (\d+) parts", said)[0])
    plan = tomllib.loads((tmp_path / "2027-05-den.toml").read_text(encoding="utf-8"))
    walls = next(job for job in plan["job"] if job["id"] == "walls")
    firsts = [step for step in walls["step"] if step["id"].startswith("coat-1-part")]
    assert len(firsts) == parts >= 2
    assert len({step["surface"] for step in firsts}) == parts
    assert answered(tmp_path).ready_by is not None


def test_a_cold_workshop_sends_its_coats_into_the_room(desk: Desk) -> None:
    desk.edit(
        '[[gear]]\nid = "clamps"',
        '[[space]]\nid = "garage"\nair = { celsius = 4, humidity = 60 }\n\n[[gear]]\nid = "clamps"',
        "studio.toml",
    )
    answer = desk("new", "attic", "--recipe", "furniture-repaint")
    assert answer.code == 0, answer.err
    assert "too cold, hot or damp in the workshop" in answer.out
    assert desk("check").code in (0, 1)


def test_what_a_room_forbids_is_refused_and_nothing_is_written(desk: Desk) -> None:
    desk.edit('title = "Study"\n', 'title = "Study"\nforbids = ["holes"]\n', "studio.toml")
    before = sorted(path.name for path in desk.folder.iterdir())
    answer = desk("new", "study", "--recipe", "picture-wall")
    assert answer.code == 2
    assert answer.err.startswith("episodes: nothing was written")
    assert "holes" in answer.err
    assert sorted(path.name for path in desk.folder.iterdir()) == before
    assert desk("new", "study", "--recipe", "picture-wall:holes=0").code == 0


def test_a_space_is_a_workshop_by_a_whole_word_of_its_name() -> None:
    from episodes.commands.drafting import places_of

    spaces = {"washed-den": "Washed den", "meditation": "Meditation", "shed": "Garden shed"}
    places = places_of(spaces, "washed-den", workshop=None, desk=None, new=False)
    assert places == {"room": "washed-den", "workshop": "shed", "desk": "desk"}


def test_a_season_may_begin_in_a_folder_that_is_not_there(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = tmp_path / "rooms" / "mine"
    assert run(["new", "den", "--recipe", "cushions", "--season", str(folder), "--now", NOW]) == 0
    assert {path.name for path in folder.glob("*.toml")} == {"studio.toml", "2027-05-den.toml"}


def test_nothing_is_written_over(desk: Desk) -> None:
    assert desk("new", "study", "--month", "2027-05", "--recipe", "cushions").code == 2
    assert "Oak board" in desk.text


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["den", "--recipe", "paint-wals"], 'no recipe is called "paint-wals"; did you mean'),
        (["den", "--recipe", "paint-walls:aera=3"], 'paint-walls has no size "aera"'),
        (["den", "--recipe", "paint-walls:area=much"], 'area: "much" is no number'),
        (["den", "--recipe", "paint-walls:area=3kg"], '"kg" is no unit'),
        (["den", "--recipe", "paint-walls:area"], "write paint-walls:size=number"),
        (["den", "--month", "2027-13"], "is no month"),
        (["den", "--month", "2027-02"], "is past"),
        (["den", "--who", "nobody"], '"nobody" is nobody here; there is: host'),
        (["den", "--person", "host: sometimes"], "has no hours"),
        (["den", "--release", "often"], "is no rule"),
        (["den", "--timezone", "Mars/Base"], "Mars/Base"),
        ([], "name the room"),
        (["..."], "is no name for a file"),
    ],
)
def test_a_slip_of_the_pen_is_told_and_nothing_is_written(
    words: list[str], said: str, new: Say, tmp_path: Path
) -> None:
    assert said in new(*words, code=2, zone="--timezone" not in words)
    assert list(tmp_path.iterdir()) == []


def test_text_from_outside_stays_text(new: Say, tmp_path: Path) -> None:
    title = 'Den "\x1b[2J\\ \x7f # not a comment'
    said = new("den", "--title", title, "--name", title, "--recipe", "cushions", *TWO)
    assert "\x1b" not in said
    plan = tomllib.loads((tmp_path / "2027-05-den.toml").read_text(encoding="utf-8"))
    assert plan["title"] == title
    assert answered(tmp_path).title == title


def test_json_says_what_was_written_and_whether_it_holds(desk: Desk) -> None:
    answer = desk("new", "attic", "--recipe", "cushions", "--json").json
    assert answer["file"] == "2027-06-attic.toml"
    assert answer["verdict"] == "meets"
    assert answer["release"] == "2027-06-04T09:00:00-05:00"
    plan = tomllib.loads((desk.folder / "2027-06-attic.toml").read_text(encoding="utf-8"))
    assert answer["steps"] == sum(len(job["step"]) for job in plan["job"])
    assert answer["shots"] == len(plan["shot"])
    assert answer["parcels"] == len(plan["parcel"])


def test_at_a_terminal_it_asks_and_enter_takes_what_is_proposed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("episodes.commands.new.at_a_terminal", lambda: True)
    lines = [
        "Two Coats", "America/Chicago", "", "host: daily 9-17", "builder: sat 9-17", "",
        "Home office", "", "?", "nonsense", "paint-walls cushions:n=2", "not much", "120 sqft", "3",
        "host,builder",
    ]  # fmt: skip
    result = CliRunner().invoke(
        episodes, ["new", "--season", str(tmp_path), "--now", NOW], input="\n".join(lines) + "\n"
    )
    assert result.exit_code == 0, result.output
    for asked in ("What is the studio called?", "Time zone?", "Who works, and when?",
                  "Which room?", "For which month? [2027-05]", "What is to be built?",
                  "wall area? [38m2]", "coats? [2]"):  # fmt: skip
        assert asked in result.output, asked
    assert "Walls and ceiling" in result.output, "`?` lists the recipes"
    assert 'no recipe is called "nonsense"' in result.output
    assert 'area: "not much" is no number' in result.output
    text = (tmp_path / "2027-05-home-office.toml").read_text(encoding="utf-8")
    assert "paint-walls:area=11.15m2,edge=42m,coats=3" in text
    assert "cushions:n=2" in text
    assert answered(tmp_path).verdict == "meets"


def test_with_yes_nothing_is_asked_at_a_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("episodes.commands.new.at_a_terminal", lambda: True)
    words = ["new", "den", "--yes", "--season", str(tmp_path), "--now", NOW]
    result = CliRunner().invoke(episodes, words, input="")
    assert result.exit_code == 0, result.output
    assert "?" not in result.output.replace("episodes", "")


def test_sizes_without_a_unit_are_feet_where_the_studio_says_us(desk: Desk) -> None:
    desk.edit('currency = "USD"', 'currency = "USD"\nunits = "us"', "studio.toml")
    assert desk("new", "attic", "--recipe", "wall-shelf:length=4,shelves=3").code == 0
    text = (desk.folder / "2027-06-attic.toml").read_text(encoding="utf-8")
    assert "wall-shelf:shelves=3,length=1.22m,coats=3" in text
