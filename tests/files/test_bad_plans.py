"""Every file in fixtures/bad has one fault, marked where it stands: `# fault: CODE`.

Each is read beside the faultless other half of a season in fixtures/base and must give that one
fault, with that code, on that line, in words that lead on, and no other.
"""

import shutil
from pathlib import Path

import pytest

from episodes.problems import PlanError
from tests.files.seasons import CLOCK, FIXTURES, LAUNDRY

BAD = sorted((FIXTURES / "bad").glob("*.toml"))
_MARK = "# fault: "


def _season(folder: Path, bad: Path) -> str:
    """A season with the bad file in its place; the name under which its faults are shown."""
    name = "studio.toml" if bad.name.startswith("studio-") else f"{LAUNDRY}.toml"
    for base in (FIXTURES / "base").glob("*.toml"):
        shutil.copy(base, folder / base.name)
    shutil.copy(bad, folder / name)
    return name


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.stem)
def test_a_bad_file_gives_its_one_fault_on_its_line(bad: Path, tmp_path: Path) -> None:
    from episodes.files.reading import read_season

    name = _season(tmp_path, bad)
    lines = bad.read_text(encoding="utf-8").splitlines()
    line, code = next(
        (number, text.partition(_MARK)[2]) for number, text in enumerate(lines, 1) if _MARK in text
    )
    with pytest.raises(PlanError) as caught:
        read_season(tmp_path, clock=CLOCK)
    problems = [problem for problem in caught.value.problems if problem.level == "error"]
    found = [(problem.code, str(problem.where)) for problem in problems]
    assert found == [(code, f"{name}:{line}")], "\n".join(str(problem) for problem in problems)
    text = str(problems[0])
    assert "\n" not in text
    assert text.endswith((".", "?"))


def test_the_base_season_has_no_fault(tmp_path: Path) -> None:
    from episodes.files.reading import read_season

    for base in (FIXTURES / "base").glob("*.toml"):
        shutil.copy(base, tmp_path / base.name)
    season = read_season(tmp_path, clock=CLOCK)
    assert [episode.id for episode in season.episodes] == [LAUNDRY]
    assert season.problems == ()


def test_there_are_bad_files_of_every_kind() -> None:
    codes = {
        line.partition(_MARK)[2]
        for bad in BAD
        for line in bad.read_text(encoding="utf-8").splitlines()
        if _MARK in line
    }
    assert len(BAD) > 150
    assert codes >= {
        "bad-bounds",
        "bad-dries",
        "bad-during",
        "bad-value",
        "duplicate-id",
        "fact-to-come",
        "forbidden",
        "missing-key",
        "no-such-stage",
        "nobody",
        "not-for-waits",
        "too-much-gear",
        "toml-syntax",
        "unknown-key",
        "unknown-name",
        "wrong-type",
    }
