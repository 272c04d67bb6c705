"""Every command that README and the pages of `docs/` show is run, and prints what they show.

A fenced `console` block is a sitting at a terminal. A line that begins with `$` is run; the lines
below it are what it prints, where a line `...` stands for any lines and ` ...` at the end of a line
for its rest. `# exit 1` after a command asks for that exit code. A fenced `toml` block that begins
with `# NAME.toml` is saved under that name. All blocks of a page are one sitting, begun in an empty
folder, so a page may build on what it did before.
"""

import os
import re
import shlex
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

PROJECT = Path(__file__).parents[2]
PAGES = [
    page
    for page in [PROJECT / "README.md", *sorted((PROJECT / "docs").rglob("*.md"))]
    if "```console" in page.read_text(encoding="utf-8")
]
EXIT = re.compile(r"\s+# exit (\d+)$")
FILE_NAME = re.compile(r"# (\S+\.toml)$")
END = "@@ended"


@dataclass(frozen=True, slots=True)
class Shown:
    """One command as a page shows it, or a file it asks to save (which prints nothing)."""

    line: int
    command: str
    code: int = 0
    output: tuple[str, ...] = ()


def sitting(text: str) -> list[Shown]:
    """What a page does, in its order."""
    found: list[Shown] = []
    block, begun = "", 0
    saved: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        if line.startswith("```"):
            if block == "toml" and (name := FILE_NAME.match(saved[0])):
                body = "\n".join(saved)
                found.append(Shown(begun, f"cat > {name.group(1)} <<'{END}'\n{body}\n{END}"))
            block, begun, saved = ("" if block else line[3:]), number, []
        elif block == "toml":
            saved.append(line)
        elif block == "console" and line.startswith("$ "):
            asked = EXIT.search(line)
            command = EXIT.sub("", line.removeprefix("$ "))
            found.append(Shown(number, command, int(asked.group(1)) if asked else 0))
        elif block == "console":
            assert found, f"line {number}: a console block begins with a command"
            last = found.pop()
            found.append(replace(last, output=(*last.output, line)))
    return found


def agrees(shown: tuple[str, ...], printed: list[str]) -> bool:
    """Whether the lines shown are what was printed, `...` standing for any lines."""
    if not shown:
        return True
    if shown[0] == "...":
        return any(agrees(shown[1:], printed[start:]) for start in range(len(printed) + 1))
    if not printed:
        return False
    wanted, got = shown[0].rstrip(), printed[0].rstrip()
    same = got.startswith(wanted[:-4]) if wanted.endswith(" ...") else wanted == got
    return same and (len(shown) > 1 or len(printed) == 1) and agrees(shown[1:], printed[1:])


@pytest.fixture(scope="module")
def bin_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the command: the installed one, or this interpreter's way to run it."""
    beside = Path(sys.executable).parent
    if (beside / "episodes").exists():
        return beside
    folder = tmp_path_factory.mktemp("bin")
    command = folder / "episodes"
    run = f'exec {shlex.quote(sys.executable)} -m episodes "$@"'
    command.write_text(f"#!/bin/sh\n{run}\n", encoding="utf-8")
    command.chmod(0o755)
    return folder


@pytest.mark.slow
@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(PROJECT)))
def test_a_page_s_commands_do_and_print_what_it_shows(
    page: Path, bin_folder: Path, tmp_path: Path
) -> None:
    steps = sitting(page.read_text(encoding="utf-8"))
    script = "\n".join(f"{shown.command}\necho '{END}' $?" for shown in steps)
    ran = subprocess.run(
        ["/bin/bash"],
        input=script,
        cwd=tmp_path,
        env={
            **os.environ,
            "PATH": f"{bin_folder}{os.pathsep}{os.environ['PATH']}",
            "NO_COLOR": "1",
        },
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        timeout=180,
        check=False,
    )
    parts = re.split(rf"^{END} (\d+)\n", ran.stdout, flags=re.MULTILINE)
    outputs, codes = parts[0:-1:2], [int(code) for code in parts[1::2]]
    assert len(codes) == len(steps), ran.stdout
    faults = []
    for shown, output, code in zip(steps, outputs, codes, strict=True):
        where = f"{page.name}:{shown.line}: $ {shown.command}"
        if "Traceback" in output:
            faults.append(f"{where}\na traceback:\n{output}")
        elif code != shown.code:
            faults.append(f"{where}\nleft with {code}, not {shown.code}:\n{output}")
        elif not agrees(shown.output, output.splitlines()):
            wanted = "\n".join(shown.output)
            faults.append(f"{where}\nthe page shows:\n{wanted}\nit printed:\n{output}")
    assert not faults, "\n\n".join(faults)


def test_readme_and_the_how_to_pages_show_commands_at_all() -> None:
    names = {page.relative_to(PROJECT).as_posix() for page in PAGES}
    assert {"README.md", "docs/tutorial.md", "docs/how-to/late-delivery.md"} <= names


def test_the_two_commands_of_the_readme_each_set_up_what_they_need() -> None:
    text = (PROJECT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"^```sh\n(.*?)^```", text, flags=re.MULTILINE | re.DOTALL)
    assert len(blocks) == 2
    for block in blocks:
        lines = block.strip().splitlines()
        assert len(lines) == 1, "one command is one line"
        assert "python3.11 -m venv .venv" in lines[0]
        assert ".venv/bin/pip install" in lines[0]
    assert blocks[0].rstrip().endswith("episodes demo")
    assert "-m pytest" in blocks[1]


@pytest.mark.parametrize(
    ("shown", "printed", "same"),
    [
        (("a", "b"), ["a", "b"], True),
        (("a",), ["a", "b"], False),
        (("a", "..."), ["a", "b", "c"], True),
        (("...", "c"), ["a", "b", "c"], True),
        (("...", "b"), ["a", "b", "c"], False),
        (("a ...",), ["a and more"], True),
        (("b",), ["a"], False),
        ((), ["whatever"], True),
    ],
)
def test_what_a_page_shows_is_compared_line_by_line(
    shown: tuple[str, ...], printed: list[str], same: bool
) -> None:
    assert agrees(shown, printed) is same


def test_links_between_the_pages_lead_somewhere() -> None:
    pages = [PROJECT / "README.md", PROJECT / "DEVELOPERS.md", *(PROJECT / "docs").rglob("*.md")]
    links = [
        (page, target)
        for page in pages
        for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8"))
        if "://" not in target
    ]
    assert links
    assert [f"{page.name}: {to}" for page, to in links if not (page.parent / to).exists()] == []


def test_the_picture_of_the_screen_needs_no_server_and_shows_the_verdict() -> None:
    picture = (PROJECT / "docs" / "screen.svg").read_text(encoding="utf-8")
    assert "SLIPS" in picture
    assert re.findall(r"https?://[^\s\"<]+", picture) == ["http://www.w3.org/2000/svg"]
