"""Text from files is shown and never acts: on the terminal, in JSON, in a calendar, in words."""

import json
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from episodes.cli import COMMANDS, run
from tests.commands.seasons import EPISODE, STUDIO, STUDY

HOSTILE = (
    "\x1b]0;pwned\x07\x1b[2J\x9b31m[bold]x[/bold]\u202etxt\u200b=1+1|{{7*7}}<script>&\r\n%s$(id)"
)
NEEDS = {
    "why": ["shelf.cut"], "late": ["board", "--days", "2"], "restore": [STUDY], "demo": None,
    "new": None, "add": None, "recover": ["--forget"], "calendar": None, "undo": None, "redo": None,
    "drift": None, "go": ["--again"], "off": None, "ordered": None, "arrived": None,
    "returned": None, "started": None, "left": None, "done": None, "failed": None, "taken": None,
    "lost": None, "dropped": None, "sheet": None, "busy": None, "table": ["steps"],
    "odds": ["--samples", "100"],
}  # fmt: skip
"""Words that a command needs; None: it is tried elsewhere, or writes."""
SHOWING = sorted(name for name in COMMANDS if NEEDS.get(name, []) is not None)


def season(folder: Path, text: str) -> Path:
    """The small season with that text wherever a text may stand."""
    folder.mkdir(exist_ok=True)
    quoted = json.dumps(text).replace("\x7f", "\\u007f")
    # JSON escapes characters beyond 16 bits in two halves, TOML in one.
    quoted = re.sub(
        r"\\ud[89ab][0-9a-f]{2}\\ud[c-f][0-9a-f]{2}",
        lambda pair: f"\\U{ord(json.loads(chr(34) + pair[0] + chr(34))):08x}",
        quoted,
    )
    everywhere = f"caution = {quoted}\nnote = {quoted}\nlink = {quoted}"
    for name, plan in (("studio.toml", STUDIO), (f"{STUDY}.toml", EPISODE)):
        text_lines = [
            f"{found[1]}{quoted}"
            if (found := re.match(r"^(\s*title = |name = )", line))
            else everywhere
            if line.strip().startswith("caution = ")
            else line
            for line in plan.splitlines()
        ]
        (folder / name).write_text("\n".join(text_lines) + "\n", encoding="utf-8")
    return folder


TURNING = "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\u2028\u2029\ufeff"


def acting(text: str) -> set[str]:
    """Characters of an output that could drive a terminal or turn its direction; a table's lines
    end in CR LF."""
    return {
        character
        for character in text.replace("\r\n", "\n")
        if (ord(character) < 32 and character != "\n")
        or 127 <= ord(character) < 160
        or character
        in "\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069\u200b\u2028\u2029\ufeff"
    }


@pytest.mark.parametrize("name", SHOWING)
def test_no_command_lets_a_title_act(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = season(tmp_path / "season", HOSTILE)
    code = run([name, *(NEEDS.get(name) or []), "--season", str(folder)])
    out, err = capsys.readouterr()
    if code == 2:  # it takes no season, or needs words of its own
        code = run([name, *(NEEDS.get(name) or [])])
        out, err = capsys.readouterr()
    assert code in (0, 1, 2)
    assert acting(out + err) == set()


def test_the_hostile_season_is_one_that_is_read(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(["check", str(season(tmp_path / "season", HOSTILE))]) == 0
    assert "pwned" in capsys.readouterr().out


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=25)
@given(st.text(st.characters(exclude_categories=("Cs",)), min_size=1, max_size=60))
def test_any_title_is_shown_without_acting_and_read_back_from_json(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], title: str
) -> None:
    folder = season(tmp_path / "season", title)
    code = run(["check", str(folder)])
    out, err = capsys.readouterr()
    assert acting(out + err) == set()
    if code == 2:  # a text that no plan may hold, said so
        assert err.strip()
        return
    run(["check", "--json", str(folder)])
    out, _ = capsys.readouterr()
    assert acting(out) == set()
    assert json.loads(out)["episodes"][0]["title"] == title
