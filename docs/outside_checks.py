"""Writes `outside-checks.md`: which published source checks what, and in which test.

    python docs/outside_checks.py

The page is made from the tests themselves (`tests/outside`): what a module checks and where its
figures come from is the first thing it says. A test finds a page that has fallen behind.
"""

import ast
import sys
from pathlib import Path

HERE = Path(__file__).parent
OUTSIDE = HERE.parent / "tests" / "outside"
PAGE = HERE / "outside-checks.md"
HEAD = (
    "# What it is checked against\n\n"
    "The program is compared with things that it did not make: standards, handbooks, worked "
    "examples, open data, and libraries that others use.\n"
    "Each section is a test module of `tests/outside`, in its own words, and the checks it makes.\n"
    "Where a figure comes from memory because its source could not be had, it says so; facts of "
    'the trade without a published source are marked "common practice" beside their value.\n'
)


def page() -> str:
    """The page as it should be."""
    parts = [HEAD]
    for path in sorted(OUTSIDE.glob("test_*.py")):
        module = ast.parse(path.read_text(encoding="utf-8"))
        said = ast.get_docstring(module) or ""
        title, _, rest = said.partition("\n")
        parts.append(f"## {title.rstrip('.')}\n")
        if rest.strip():
            parts.append(" ".join(rest.split()) + "\n")
        parts.append(f"`{path.relative_to(HERE.parent).as_posix()}`:\n")
        parts += [f"- {checks}" for checks in _checks(module)]
        parts.append("")
    return "\n".join(parts)


def _checks(module: ast.Module) -> list[str]:
    """The names of a module's tests, as the sentences that they are."""
    return [
        node.name.removeprefix("test_").replace("_", " ")
        for node in module.body
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test_")
    ]


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    sys.stdout.write(f"{PAGE} written\n")
