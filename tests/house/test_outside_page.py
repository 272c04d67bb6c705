"""`docs/outside-checks.md` says of each outside check what it is and where it comes from."""

from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"
OUTSIDE = sorted((DOCS.parent / "tests" / "outside").glob("test_*.py"))


def test_the_page_is_what_the_tests_say_of_themselves() -> None:
    spec = spec_from_file_location("outside_checks", DOCS / "outside_checks.py")
    assert spec is not None
    assert spec.loader is not None
    maker = module_from_spec(spec)
    spec.loader.exec_module(maker)
    written = (DOCS / "outside-checks.md").read_text(encoding="utf-8")
    assert written == maker.page(), "run: python docs/outside_checks.py"


@pytest.mark.parametrize("module", OUTSIDE, ids=lambda path: path.stem)
def test_an_outside_check_names_what_it_is_checked_against(module: Path) -> None:
    text = module.read_text(encoding="utf-8").lower()
    names = (
        "source", "against", "rfc", "library", "published", "exact", "table", "second opinion",
    )  # fmt: skip
    assert any(name in text.partition('"""')[2].partition('"""')[0] for name in names)
