"""The same question under other hash seeds, zones and locales: the same bytes."""

import subprocess
import tempfile
from itertools import product
from pathlib import Path

from tests.reliability.judged import run

SEEDS = ("0", "1", "4242")
ZONES = ("UTC", "Asia/Kolkata", "America/St_Johns")
LOCALES = ("C", "C.UTF-8", "de_DE.UTF-8", "tr_TR.UTF-8")
QUESTIONS = (
    ("check", "--json"),
    ("check",),
    ("late", "desk-boards", "--days", "3", "--json"),
    ("odds", "--samples", "500", "--json"),
    ("today", "--json"),
)


def differing(
    questions: tuple[tuple[str, ...], ...] = QUESTIONS, *, few: bool = False
) -> list[str]:
    """Questions about the demo season that were not answered in the same bytes everywhere."""
    grounds = list(product(SEEDS, ZONES, LOCALES))
    if few:
        grounds = [grounds[0], grounds[len(grounds) // 2], grounds[-1]]
    found = []
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place) / "demo"
        run(("demo", str(folder)), Path(place))
        for words in questions:
            answers = set()
            for seed, zone, locale in grounds:
                env = {"PYTHONHASHSEED": seed, "TZ": zone, "LC_ALL": locale, "LANG": locale}
                ran = run(words, folder, env=env)
                answers.add((ran.code, ran.out, ran.err))
            if len(answers) != 1:
                found.append(" ".join(words))
    return found


def locales_here() -> int:
    """How many of the locales this machine knows; an unknown one falls back to C."""
    listed = subprocess.run(["locale", "-a"], capture_output=True, text=True, check=False).stdout
    known = {line.lower().replace("-", "") for line in listed.split()}
    return sum(1 for name in LOCALES if name.lower().replace("-", "") in known)
