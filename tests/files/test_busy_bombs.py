"""No calendar file hangs or fills the program: each bomb is answered, and costs itself alone.

All are read in one process of their own, whose memory never passes the limit; the time of each is
processor time, so that a busy machine does not decide.
"""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from tests.files.calendar_bombs import ANSWERED, BOMBS, WHOLE_FILE

SECONDS = 2.0
MEBIBYTES = 200
SHIM = "import subprocess, sys; sys.exit(subprocess.call(sys.argv[1:]))"
"""A peak counts what the parent held when the process was started, and a parent of tests holds
much: a small process stands between."""
READ = """
import json, resource, sys, time
from pathlib import Path
from episodes.files.busy import read_busy
start, end = 30_060_000, 30_500_000  # 26 February to 28 December 2027
for path in sorted(Path(sys.argv[1]).glob("*.ics")):
    began = time.process_time()
    busy, problems = read_busy(path, "America/Chicago", start, end, cache=Path(sys.argv[1]) / "c")
    taken = time.process_time() - began
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps([path.stem, taken, peak, len(busy), [[p.code, p.text] for p in problems]]))
"""
EVERY = dict(enumerate(BOMBS))
Told = tuple[float, float, int, list[list[str]]]


@pytest.fixture(scope="module")
def read(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Told]:
    folder: Path = tmp_path_factory.mktemp("bombs")
    for number, name in EVERY.items():
        text = BOMBS[name]().replace("\n", "\r\n")
        (folder / f"{number:02}.ics").write_text(text, newline="")
    ran = subprocess.run(
        [sys.executable, "-S", "-c", SHIM, sys.executable, "-c", READ, str(folder)],
        capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    rows = [json.loads(line) for line in ran.stdout.splitlines()]
    return {EVERY[int(stem)]: (taken, peak, busy, said) for stem, taken, peak, busy, said in rows}


@pytest.mark.slow
@pytest.mark.parametrize("bomb", BOMBS)
def test_a_calendar_bomb_is_answered_in_time_and_named(read: dict[str, Told], bomb: str) -> None:
    taken, peak, busy, said = read[bomb]
    assert taken < SECONDS
    assert peak < MEBIBYTES
    if bomb in ANSWERED:
        assert said == []
        assert busy > 100
    elif bomb in WHOLE_FILE:
        assert [code for code, _ in said] == ["busy-unreadable"]
        assert busy == 0
    else:
        assert {code for code, _ in said} == {"busy-left-out"}
        assert any("Bad" in text or "without a title" in text for _, text in said)
        assert busy >= 1, "the good event beside it is lost"


def test_at_least_twenty_bombs_are_tried() -> None:
    assert len(BOMBS.keys() - ANSWERED) >= 20
