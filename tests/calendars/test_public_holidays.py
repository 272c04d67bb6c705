"""Public holidays: which place, which years, and what asking costs."""

import subprocess
import sys
from datetime import date

import pytest

from episodes.calendars.public_holidays import public_holidays


def test_only_the_years_asked_for_are_answered() -> None:
    assert {day.year for day in public_holidays("US", range(2027, 2029))} == {2027, 2028}
    assert public_holidays("US", range(2027, 2027)) == frozenset()


def test_a_new_years_day_observed_in_december_belongs_to_the_year_it_is_observed_in() -> None:
    # 2028-01-01 is a Saturday.
    assert date(2027, 12, 31) in public_holidays("US", range(2027, 2028))


def test_a_part_of_a_country_has_its_own_holidays_on_top() -> None:
    country, part = (public_holidays(place, range(2027, 2028)) for place in ("US", "US-TX"))
    assert date(2027, 3, 2) in part - country
    assert date(2027, 12, 25) in part & country


@pytest.mark.parametrize(
    ("place", "mend"),
    [
        ("", 'write "US" or "US-TX"'),
        ("US-", 'write "US" or "US-TX"'),
        ("-TX", 'write "US" or "US-TX"'),
        ("us", 'such as "US"'),
        ("XX", 'such as "US"'),
        ("Atlantis", 'such as "US"'),
        ("__init__", 'such as "US"'),
        ("MON", 'such as "US"'),
        ("US-ZZ", '"US-AK"'),
        ("US-tx", '"US-TX"'),
        ("FJ-01", 'write "FJ"'),
    ],
)
def test_an_unknown_place_is_named_with_how_to_write_one(place: str, mend: str) -> None:
    with pytest.raises(ValueError, match=r"holidays|no part") as caught:
        public_holidays(place, range(2027, 2028))
    assert mend in str(caught.value)


def test_the_package_of_holidays_is_imported_only_when_asked() -> None:
    code = (
        "import sys\n"
        "from episodes.calendars.public_holidays import public_holidays\n"
        "print('holidays' in sys.modules)"
    )
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "False"
