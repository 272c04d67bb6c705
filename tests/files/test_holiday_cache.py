"""The holiday cache saves asking again, and nothing but asking again depends on it."""

import json
from datetime import date
from pathlib import Path

import pytest

import episodes.files.holiday_cache as cache
from episodes.calendars.public_holidays import public_holidays
from episodes.files.holiday_cache import read_holidays, version

YEARS = range(2026, 2029)


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[range]:
    """The years that the package was asked for."""
    spans: list[range] = []

    def ask(place: str, years: range) -> frozenset[date]:
        spans.append(years)
        return public_holidays(place, years)

    monkeypatch.setattr(cache, "public_holidays", ask)
    return spans


def _file(folder: Path, place: str) -> Path:
    return folder / "holidays" / version() / f"{place}.json"


def test_years_are_asked_for_once(tmp_path: Path, asked: list[range]) -> None:
    first = read_holidays("US", YEARS, folder=tmp_path)
    assert first == public_holidays("US", YEARS)
    assert date(2027, 7, 4) in first
    assert read_holidays("US", YEARS, folder=tmp_path) == first
    assert asked == [YEARS]
    read_holidays("US", range(2026, 2030), folder=tmp_path)
    assert asked[1:] == [range(2029, 2030)]


def test_places_do_not_mix(tmp_path: Path, asked: list[range]) -> None:
    plain = read_holidays("US", YEARS, folder=tmp_path)
    texas = read_holidays("US-TX", YEARS, folder=tmp_path)
    assert plain != texas == public_holidays("US-TX", YEARS)
    assert len(asked) == 2


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b"\xff\xfe",
        b'{"format": 2, "years": {}}',
        b'{"format": 1}',
        b'{"format": 1, "years": {"2026": ["2027-01-01"], "2027": [], "2028": []}}',
        b'{"format": 1, "years": {"2026": [7]}}',
        b'{"format": 1, "years": {"2026": "2026-01-01"}}',
        b'{"format": 1, "years": []}',
        b"[" * 100_000,
    ],
)
def test_a_cache_that_someone_has_been_at_is_made_anew(tmp_path: Path, content: bytes) -> None:
    file = _file(tmp_path, "US")
    file.parent.mkdir(parents=True)
    file.write_bytes(content)
    assert read_holidays("US", YEARS, folder=tmp_path) == public_holidays("US", YEARS)
    assert set(json.loads(file.read_text())["years"]) == {"2026", "2027", "2028"}


def test_a_folder_that_cannot_be_written_only_means_asking_again(
    tmp_path: Path, asked: list[range]
) -> None:
    blocked = tmp_path / "a-file"
    blocked.write_text("")
    for _ in range(2):
        assert read_holidays("US", YEARS, folder=blocked) == public_holidays("US", YEARS)
    assert len(asked) == 2
    assert [path.name for path in tmp_path.iterdir()] == ["a-file"]


def test_nothing_half_written_stays_behind(tmp_path: Path) -> None:
    read_holidays("US", YEARS, folder=tmp_path)
    assert [path.name for path in _file(tmp_path, "US").parent.iterdir()] == ["US.json"]


@pytest.mark.parametrize("place", ["", "Atlantis", "../../etc", "US-../../x", "US-ZZ", "a\0b"])
def test_an_unknown_place_is_refused_and_leaves_no_file(tmp_path: Path, place: str) -> None:
    with pytest.raises(ValueError, match="write"):
        read_holidays(place, YEARS, folder=tmp_path)
    assert list(tmp_path.iterdir()) == []
