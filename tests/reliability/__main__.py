"""Everything, at full size: writes the tables of `docs/reliability.md` and says what failed.

    python -m tests.reliability [--quick]

About a quarter of an hour on two cores; `--quick` runs a tenth and writes nothing.
"""

import platform
import re
import sys
import tempfile
from pathlib import Path

from tests.reliability import bombs, fuzz, kills, same_bytes, two_programs
from tests.reliability.judged import run

PAGE = Path(__file__).parents[2] / "docs" / "reliability.md"
CALENDAR_SECONDS, CALENDAR_MEGABYTES = 2.0, 200.0
_CONTROL = re.compile(r"[^\x20-\x7e\u00a0-\uffff]")


def main() -> int:
    quick = "--quick" in sys.argv
    share = 10 if quick else 1
    lines: list[str] = []
    faults: list[str] = []
    for table in (_bombs("plan", faults), _bombs("calendar", faults)):
        lines += table
    lines += _fuzzed(5_000 // share, faults)
    lines += _saved(200 // share, faults)
    lines += _alike(quick, faults)
    text = "\n".join(lines) + "\n"
    print(text)
    for fault in faults:
        print(f"FAULT: {fault}", file=sys.stderr)
    if not quick:
        _put(text)
    return 1 if faults else 0


def _bombs(kind: str, faults: list[str]) -> list[str]:
    names = bombs.PLANS if kind == "plan" else bombs.CALENDARS
    seconds, megabytes = (5.0, 500.0) if kind == "plan" else (CALENDAR_SECONDS, CALENDAR_MEGABYTES)
    title = "Plans" if kind == "plan" else "Calendars"
    lines = [
        f"### {title} that only look like one",
        "",
        f"{len(names)} of them; at most {seconds:g} s and {megabytes:g} MB each.",
        "",
        "| what | left with | seconds | MB | what was said |",
        "| --- | --- | --- | --- | --- |",
    ]
    for name in names:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "season"
            bombs.write_apart(kind, name, folder)
            judged = run(["check"], folder)
        faults += [f"{kind}: {name}: {fault}" for fault in judged.faults(seconds, megabytes)]
        said = _said(judged.err or judged.out, kind)
        lines.append(
            f"| {name} | {judged.code} | {judged.seconds:.1f} | {judged.megabytes:.0f} | {said} |"
        )
    return [*lines, ""]


def _said(text: str, kind: str) -> str:
    lines = [line.strip() for line in text.splitlines() if line.strip()]
    telling = [line for line in lines if "left out" in line or "error" in line]
    if not telling and kind == "plan":
        telling = [line for line in lines if not line.startswith("Read as of")]
    line = (telling or ["nothing is wrong with it"])[0]
    return _CONTROL.sub("?", line[:110]).replace("|", "/")


def _fuzzed(cases: int, faults: list[str]) -> list[str]:
    found = fuzz.fuzz(cases)
    faults += [f"fuzz: case {case.seed}: {', '.join(case.faults)}" for case in found.faults]
    codes = ", ".join(
        f"{count:,} with {code}" for code, count in sorted(found.codes.items(), key=str)
    )
    return [
        "### The demo season, broken at random",
        "",
        "| cases | left | slowest | highest peak of a worker | faults |",
        "| --- | --- | --- | --- | --- |",
        (
            f"| {found.cases:,} | {codes} | {found.slowest:.1f} s | {found.megabytes:.0f} MB | "
            f"{len(found.faults)} |"
        ),
        "",
    ]


def _saved(times: int, faults: list[str]) -> list[str]:
    killed = kills.kill(times)
    if killed.torn or killed.journal_torn:
        faults.append(f"kills: {killed}")
    if killed.debris > 1:
        faults.append(f"kills: {killed.debris} temporary files left")
    raced = two_programs.race(times)
    if raced.lost or raced.both or raced.neither:
        faults.append(f"two programs: {raced}")
    return [
        "### Saves",
        "",
        "| what | times | result |",
        "| --- | --- | --- |",
        (
            f"| killed (SIGKILL) at a random moment of saving | {killed.kills} | "
            f"{killed.torn} files and {killed.journal_torn} journals that were neither the old nor "
            f"the new one; {killed.writes} writes went through |"
        ),
        (
            f"| two programs editing different things of one file | {raced.rounds} | "
            f"{raced.lost} edits lost |"
        ),
        (
            f"| two programs editing the same thing | {raced.rounds} | {raced.both} times both "
            f"wrote, {raced.neither} times neither; else one wrote and one was told |"
        ),
        "",
    ]


def _alike(quick: bool, faults: list[str]) -> list[str]:
    grounds = len(same_bytes.SEEDS) * len(same_bytes.ZONES) * len(same_bytes.LOCALES)
    differing = same_bytes.differing(few=quick)
    faults += [f"other bytes: {words}" for words in differing]
    return [
        "### The same bytes",
        "",
        (
            f"{len(same_bytes.QUESTIONS)} questions, each under {3 if quick else grounds} "
            f"combinations of hash seed, time zone and locale ({same_bytes.locales_here()} of "
            f"{len(same_bytes.LOCALES)} locales are known here): "
            f"{len(differing)} with more than one answer."
        ),
        "",
        f"Python {platform.python_version()}, {platform.system()} {platform.machine()}.",
    ]


def _put(text: str) -> None:
    page = PAGE.read_text(encoding="utf-8")
    begin, end = "<!-- tables: begin -->\n", "<!-- tables: end -->"
    head, _, rest = page.partition(begin)
    _, _, tail = rest.partition(end)
    PAGE.write_text(f"{head}{begin}\n{text}\n{end}{tail}", encoding="utf-8")


if __name__ == "__main__":
    sys.exit(main())
