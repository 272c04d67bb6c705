"""`schema`: the plan format, key by key, and as JSON Schema."""

import json

import pytest

from episodes.cli import run


def asked(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    code = run(["schema", *words])
    out, err = capsys.readouterr()
    return code, out, err


def test_schema_lists_every_table_with_its_keys(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = asked(capsys)
    assert (code, err) == (0, "")
    assert out.startswith('studio.toml\n  name         "text"')
    for table in ("[[person]]", "[[job.step]]", "[[fallback]]", "in any table"):
        assert f"\n{table}\n" in out


@pytest.mark.parametrize("word", ["step", "[[job.step]]", "STEP"])
def test_a_word_shows_the_table_of_that_name(word: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = asked(capsys, word)
    assert code == 0
    assert out.startswith("[[job.step]]\n")
    assert "[[person]]" not in out


def test_a_word_that_is_a_key_shows_that_key_wherever_it_stands(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = asked(capsys, "one_go")
    assert code == 0
    assert [line for line in out.splitlines() if line.startswith("[[")] == [
        "[[job.step]]", "[[shot]]",
    ]  # fmt: skip


def test_a_word_that_is_nowhere_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    code, out, err = asked(capsys, "sprint")
    assert (code, out) == (2, "")
    assert 'no table and no key has "sprint" in its name' in err


def test_schema_in_json_is_one_object_and_needs_no_season(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out, _ = asked(capsys, "--json")
    assert code == 0
    assert out.count("\n") == 1
    assert set(json.loads(out)) == {"$schema", "title", "anyOf", "$defs"}
    assert asked(capsys, "step", "--json")[0] == 2
