"""`add`: a recipe, a parcel or a shot more in a plan that is there; not a line of it changes."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from episodes.answers.check import check
from episodes.files.reading import read_season
from tests.commands.seasons import STUDY, Desk


def plan(desk: Desk) -> dict[str, Any]:
    return tomllib.loads(desk.text)


def kept(before: str, after: str) -> bool:
    """Whether every line of the text from before is still there, in its order."""
    lines = iter(after.splitlines())
    return all(line in lines for line in before.splitlines())


def test_a_recipe_goes_into_the_episode_with_its_parcels_and_shots(desk: Desk) -> None:
    before = desk.text
    answer = desk("add", "paint-walls:area=20")
    assert answer.code == 0, answer.err
    assert answer.out.startswith("Paint the walls: added as walls, likely ")
    assert kept(before, desk.text)
    added = plan(desk)
    assert [job["id"] for job in added["job"]] == ["shelf", "walls"]
    assert [shot["id"] for shot in added["shot"]][2:] == [
        "walls-first-stroke",
        "walls-half-and-half",
    ]
    assert added["parcel"][-1]["id"] == "walls-tinted-paint"
    rows = {row.id for row in check(read_season(desk.folder, clock=0)).episode(STUDY).steps}
    assert {"walls.coat-1", "walls.coat-2", "walls-tinted-paint"} <= rows


def test_the_studio_gets_what_the_recipe_needs_and_one_undo_takes_all_back(desk: Desk) -> None:
    file = desk.folder / "studio.toml"
    before, studio = desk.text, file.read_text(encoding="utf-8")
    assert desk("add", "wood-top").code == 0
    after = tomllib.loads(file.read_text(encoding="utf-8"))
    assert kept(studio, file.read_text(encoding="utf-8"))
    assert [gear["id"] for gear in after["gear"]] == ["clamps", "camera", "sander"]
    glue = next(step for step in plan(desk)["job"][1]["step"] if step["id"] == "glue")
    assert glue["gear"] == {"clamps": 6}, "seven are asked for and the studio has six"
    assert desk("undo").code == 0
    assert (desk.text, file.read_text(encoding="utf-8")) == (before, studio)
    assert desk("redo").code == 0
    assert desk.text != before


def test_ids_that_are_borne_get_a_number(desk: Desk) -> None:
    assert desk("add", "cushions").code == 0
    assert desk("add", "cushions:n=2").code == 0
    added = plan(desk)
    assert [job["id"] for job in added["job"]] == ["shelf", "cushions", "cushions-2"]
    assert len({shot["id"] for shot in added["shot"]}) == len(added["shot"])
    parcels = [parcel["id"] for parcel in added["parcel"]]
    assert len(set(parcels)) == len(parcels)
    second = added["job"][2]["step"][0]
    assert second["also_after"] == ["cushions-2-fabric"]


def test_styling_waits_for_what_is_added(desk: Desk) -> None:
    assert desk("new", "attic", "--recipe", "rug-layout").code == 0
    answer = desk("add", "curtains", "--episode", "attic")
    assert answer.code == 0, answer.err
    attic = tomllib.loads((desk.folder / "2027-06-attic.toml").read_text(encoding="utf-8"))
    jobs = {job["id"]: job for job in attic["job"]}
    assert jobs["style"]["after"] == ["rug", "curtains"]
    assert jobs["string-out"]["after"] == ["rug", "curtains"]
    assert jobs["curtains"]["after"] == ["clear"]


def test_what_comes_along_with_a_recipe_is_added_too(desk: Desk) -> None:
    assert desk("add", "protect-and-mask:edge=12").code == 0
    jobs = {job["id"]: job for job in plan(desk)["job"]}
    assert "unmask" in jobs
    assert jobs["unmask"]["after"] == ["mask"]


def test_a_parcel_is_added_in_its_usual_way(desk: Desk) -> None:
    before = desk.text
    answer = desk(
        "add", "parcel", "lamp", "--title", "Desk lamp", "--kind", "freight", "--cost", "40",
        "--for", "shelf.hang", "--settle", "24h",
    )  # fmt: skip
    assert answer.code == 0, answer.err
    assert answer.out.startswith("Desk lamp: added as lamp.")
    lamp = plan(desk)["parcel"][-1]
    assert lamp["carrier"] == "freight"
    assert (lamp["lead"], lamp["cost"], lamp["settle"]) == ("7..12..25 workdays", 40, "24h")
    hang = plan(desk)["job"][0]["step"][-1]
    assert hang["also_after"] == ["lamp"]
    assert kept(before, desk.text)
    studio = tomllib.loads((desk.folder / "studio.toml").read_text(encoding="utf-8"))
    assert [carrier["id"] for carrier in studio["carrier"]] == ["post", "freight"]


def test_a_step_that_names_what_it_waits_for_gets_the_parcel_there(desk: Desk) -> None:
    assert (
        desk("add", "parcel", "saw-blade", "--lead", "1 workdays", "--for", "shelf.cut").code == 0
    )
    assert plan(desk)["job"][0]["step"][0]["after"] == ["board", "screws", "saw-blade"]
    assert plan(desk)["parcel"][-1]["lead"] == "1 workdays"


def test_a_shot_is_added_to_a_step(desk: Desk) -> None:
    assert (
        desk("add", "shot", "sparks", "--of", "shelf.cut", "--when", "during", "--once").code == 0
    )
    assert plan(desk)["shot"][-1] == {
        "id": "sparks", "title": "Sparks", "of": "shelf.cut", "when": "during", "who": [],
        "once": True,
    }  # fmt: skip
    assert desk("add", "shot", "wide", "--hands", "20min", "--light", "day").code == 0
    assert plan(desk)["shot"][-1]["hands"] == "20min"


def test_a_second_shot_during_a_step_needs_a_second_camera(desk: Desk) -> None:
    assert desk("add", "paint-walls").code == 0
    refused = desk("add", "shot", "again", "--of", "walls.coat-1", "--when", "during")
    assert refused.code == 2
    assert '"walls-first-stroke" films walls.coat-1 already' in refused.err


def test_a_file_that_has_its_shots_in_one_list_gets_one_line_more(desk: Desk) -> None:
    at = desk.text.index("[[shot]]")
    shots = (
        'shot = [\n  { id = "before", of = "shelf", when = "before", hands = "20min" },   # first\n'
        '  { id = "reveal", of = "shelf", hands = "30min" }  # last\n]\n\n'
    )
    text = shots + desk.text[:at]
    desk.file.write_text(text, encoding="utf-8")
    answer = desk("add", "shot", "wide", "--of", "shelf")
    assert answer.code == 0, answer.err
    assert '"30min" },  # last\n  { id = "wide"' in desk.text
    assert [shot["id"] for shot in plan(desk)["shot"]] == ["before", "reveal", "wide"]
    assert "# first" in desk.text


def test_windows_line_endings_stay(desk: Desk) -> None:
    desk.file.write_bytes(desk.text.replace("\n", "\r\n").encode())
    assert desk("add", "cushions").code == 0
    raw = desk.file.read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["nonsense"], 'no recipe is called "nonsense"'),
        (["parcel"], "name it: episodes add parcel ID"),
        (["parcel", "board"], '"board" is borne'),
        (["parcel", "lamp", "--kind", "drone"], '"drone" is no kind; kinds: parcel'),
        (["parcel", "lamp", "--for", "shelf.paint"], "no such step"),
        (["parcel", "lamp", "--of", "shelf"], "are for shots"),
        (["parcel", "lamp", "--lead", "soon"], "lead"),
        (["shot", "wide", "--kind", "freight"], "are for parcels"),
        (["shot", "wide", "--of", "shelv"], 'did you mean "shelf"?'),
        (["shot", "wide", "--hands", "2d"], "hours and minutes"),
        (["cushions", "extra"], "a recipe takes no id"),
        (["cushions", "--cost", "3"], "--cost is for `add parcel`"),
        (["cushions", "--episode", "attic"], 'no episode is called "attic"'),
    ],
)
def test_a_slip_of_the_pen_is_told_and_nothing_is_written(
    words: list[str], said: str, desk: Desk
) -> None:
    before = desk.text, (desk.folder / "studio.toml").read_text(encoding="utf-8")
    answer = desk("add", *words)
    assert answer.code == 2, answer.out
    assert said in answer.err
    assert (desk.text, (desk.folder / "studio.toml").read_text(encoding="utf-8")) == before


def test_of_two_episodes_one_must_be_named(desk: Desk) -> None:
    assert desk("new", "attic", "--recipe", "cushions").code == 0
    refused = desk("add", "cushions")
    assert refused.code == 2
    assert f"--episode with one of {STUDY}, 2027-06-attic" in refused.err
    path = desk.folder / "2027-06-attic.toml"
    assert desk("add", "cushions", "--season", str(path), season=False).code == 0
    assert '[[job]]\nid = "cushions-2"' in path.read_text(encoding="utf-8")


def test_json_answers_as_every_written_fact_does(desk: Desk) -> None:
    answer = desk("add", "cushions", "--json")
    assert answer.code == 0
    assert answer.json["said"].startswith("Cushion covers: added as cushions")


def test_a_file_that_changed_meanwhile_is_not_written_over(
    desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    from episodes.files import growing

    check_first = growing.trial

    def meddle(folder: Path, *rest: Any, **more: Any) -> Any:
        season = check_first(folder, *rest, **more)
        desk.file.write_text(desk.text + "\n# a line more\n", encoding="utf-8")
        return season

    monkeypatch.setattr(growing, "trial", meddle)
    answer = desk("add", "wood-top")
    assert answer.code == 3
    assert "changed while it was being edited" in answer.err
    studio = (desk.folder / "studio.toml").read_text(encoding="utf-8")
    assert "sander" not in studio, "what was written before it is taken back"
