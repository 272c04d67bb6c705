"""One run of the command, judged: how it left, how long it took, how much memory, what it said."""

import os
import signal
import subprocess
import sys
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

ALLOWED = (0, 1, 2, 3)
PLAN_SECONDS, PLAN_MEGABYTES = 5.0, 500.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """`megabytes` is the peak of resident memory; `code` None where it had to be stopped."""

    code: int | None
    seconds: float
    megabytes: float
    out: str
    err: str

    def faults(self, seconds: float = PLAN_SECONDS, megabytes: float = PLAN_MEGABYTES) -> list[str]:
        """What is wrong with how it went; nothing, if nothing is."""
        found = []
        if self.code not in ALLOWED:
            found.append(f"left with {self.code}")
        if "Traceback" in self.out + self.err:
            found.append("traceback")
        if "a fault of the program" in self.err:
            found.append("an exception that nothing caught")
        if any(character in self.out + self.err for character in "\x1b\x07\x9b\x00"):
            found.append("control characters")
        if self.code in (2, 3) and not self.err.strip():
            found.append("no sentence")
        if self.seconds > seconds:
            found.append(f"{self.seconds:.1f} s")
        if self.megabytes > megabytes:
            found.append(f"{self.megabytes:.0f} MB")
        return found


SHIM = """
import resource, subprocess, sys
code = subprocess.call(sys.argv[2:])
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
open(sys.argv[1], "w").write(f"{code} {peak}")
"""
"""Stands between the measurer and the command: a command's peak memory counts what its parent
held when it was started, and a parent of tests holds much."""


def run(
    words: Sequence[str],
    cwd: Path,
    *,
    env: Mapping[str, str] | None = None,
    limit: float = 60.0,
) -> Judged:
    """The command in a process of its own."""
    with tempfile.TemporaryDirectory() as place:
        noted = Path(place) / "noted"
        start = perf_counter()
        with subprocess.Popen(
            [
                sys.executable,
                "-S",
                "-c",
                SHIM,
                str(noted),
                sys.executable,
                "-m",
                "episodes",
                *words,
            ],
            cwd=cwd,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            env={**os.environ, **(env or {})},
            start_new_session=True,
        ) as process:
            try:
                out, err = process.communicate(timeout=limit)
            except subprocess.TimeoutExpired:
                os.killpg(process.pid, signal.SIGKILL)
                out, err = process.communicate()
        seconds = perf_counter() - start
        code, peak = noted.read_text(encoding="utf-8").split() if noted.exists() else ("", "0")
    return Judged(
        code=int(code) if code else None,
        seconds=seconds,
        # Kilobytes on Linux, bytes on macOS.
        megabytes=int(peak) / (1 << 20 if sys.platform == "darwin" else 1 << 10),
        out=out.decode(errors="replace"),
        err=err.decode(errors="replace"),
    )
