"""The demo season broken at random, thousands of times, and asked all the same.

Values change places or are replaced by what does not belong there; lines and letters go missing,
come twice or change places; whole tables are copied. Each case runs in a worker that is measured.
"""

import contextlib
import io
import os
import random
import resource
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from time import perf_counter

from tests.files.test_reading_fuzz import DEMO, JUNK, SPANS
from tests.reliability.judged import ALLOWED, PLAN_MEGABYTES, PLAN_SECONDS

CASES_A_WORKER = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One case: its seed, how the command left, and what is wrong with that."""

    seed: int
    code: int | None
    seconds: float
    faults: tuple[str, ...]


def broken(seed: int) -> dict[str, str]:
    """The demo season's files with one to five things wrong."""
    chance = random.Random(seed)
    texts = dict(DEMO)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 5))):
        name = chance.choice(sorted(texts))
        texts[name] = _broken(texts[name], SPANS[name], chance)
    return texts


def _broken(text: str, spans: list[tuple[int, int]], chance: random.Random) -> str:
    kind = chance.randrange(7)
    lines = text.splitlines(keepends=True)
    if kind <= 1:
        start, end = chance.choice(spans)
        return text[:start] + chance.choice(JUNK) + text[end:]
    if kind == 2:
        (a, b), (c, d) = sorted(chance.sample(spans, 2))
        return text[:a] + text[c:d] + text[b:c] + text[a:b] + text[d:] if b <= c else text
    if kind == 3:
        del lines[chance.randrange(len(lines))]
    elif kind == 4:
        lines.insert(chance.randrange(len(lines)), chance.choice(lines))
    elif kind == 5:
        at = chance.randrange(len(text))
        return text[:at] + chance.choice('"[]{}=,.#\n\t\\\x00é') + text[at + chance.randrange(2) :]
    else:
        start = chance.randrange(len(lines))
        end = min(len(lines), start + chance.randrange(1, 12))
        lines[start:end] = lines[start:end] * 2
    return "".join(lines)


def judge(seed: int) -> Case:
    """One case, in this process."""
    from episodes.cli import run

    out, err = io.StringIO(), io.StringIO()
    with tempfile.TemporaryDirectory() as place:
        for name, text in broken(seed).items():
            (Path(place) / f"{name}.toml").write_text(text, encoding="utf-8", newline="")
        start = perf_counter()
        code: int | None = None
        # Nothing may come out of it at all; what does is the fault that is looked for.
        with (
            contextlib.suppress(BaseException),
            contextlib.redirect_stdout(out),
            contextlib.redirect_stderr(err),
        ):
            code = run(["check", place])
        seconds = perf_counter() - start
    said = out.getvalue() + err.getvalue()
    faults = []
    if code not in ALLOWED:
        faults.append("left by an exception" if code is None else f"left with {code}")
    if "Traceback" in said or "a fault of the program" in said:
        faults.append("an exception that nothing caught")
    if any(character in said for character in "\x1b\x07\x9b\x00"):
        faults.append("control characters")
    if code == 2 and not err.getvalue().strip():
        faults.append("no sentence")
    if seconds > PLAN_SECONDS:
        faults.append(f"{seconds:.1f} s")
    return Case(seed=seed, code=code, seconds=seconds, faults=tuple(faults))


def _some(first: int) -> tuple[list[Case], float]:
    cases = [judge(seed) for seed in range(first, first + CASES_A_WORKER)]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return cases, peak / (1 << 20 if sys.platform == "darwin" else 1 << 10)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuzzed:
    """`megabytes`: the highest peak of any worker, each of which ran a hundred cases."""

    cases: int
    codes: dict[int | None, int]
    slowest: float
    megabytes: float
    faults: tuple[Case, ...]


def fuzz(cases: int, first: int = 0, workers: int | None = None) -> Fuzzed:
    """So many cases, on as many processes as there are cores."""
    with ProcessPoolExecutor(workers or os.cpu_count(), max_tasks_per_child=4) as pool:
        found = list(pool.map(_some, range(first, first + cases, CASES_A_WORKER)))
    every = [case for some, _ in found for case in some]
    return Fuzzed(
        cases=len(every),
        codes=dict(Counter(case.code for case in every)),
        slowest=max(case.seconds for case in every),
        megabytes=max(peak for _, peak in found),
        faults=tuple(_faulty(every, max(peak for _, peak in found))),
    )


def _faulty(cases: list[Case], peak: float) -> Iterator[Case]:
    yield from (case for case in cases if case.faults)
    if peak > PLAN_MEGABYTES:
        yield Case(seed=-1, code=None, seconds=0.0, faults=(f"{peak:.0f} MB",))
