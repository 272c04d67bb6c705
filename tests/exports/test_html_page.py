"""The strict look at a page is strict: each planted fault is found.

The rules are those of the HTML standard and of WCAG 2.2 that `tests/reference/html_page.py` names.
"""

import pytest

from episodes.answers.sheet import sheet
from episodes.exports.sheet.page import sheet_page
from tests.exports.test_sheet import ROOM, room
from tests.reference.html_page import Page

PAGE = sheet_page(sheet(room(), ROOM))


@pytest.mark.parametrize(
    ("found", "put", "fault"),
    [
        ("<!DOCTYPE html>", "", "no doctype"),
        ('<html lang="en">', "<html>", "no language"),
        ("<h1>Folding</h1>", "", "0 <h1>"),
        ("<h1>", "<h1 onclick='x'>", "onclick on <h1> is not on the list"),
        ("<h1>", '<h1 style="color:red">', "style on <h1> is not on the list"),
        ("</main>", "<script>1</script></main>", "<script> is not on the list"),
        ("</main>", "<img></main>", "<img> is not on the list"),
        ("</main>", "<!-- x --></main>", "a comment"),
        ("</main>", "", "</body> ends <main>"),
        ("</h1>", "</h2>", "</h2> ends <h1>"),
        ('<h2 id="week">', '<h2 id="band">', "id band twice"),
        ('<h2 id="week">', "<h2>", "no element has the id week"),
        ('scope="col"', "", "a table header without scope"),
        ("<h3>host</h3>", "<h3></h3>", "an empty heading"),
        ("<h2", "<h3", "below level 1"),
        ('colspan="3"', 'colspan="2"', "rows of [2, 3] cells"),
        ('href="https:', 'href="javascript:', "a link to javascript:"),
        ("</p>", "\x01</p>", "a control character"),
        ('role="img"', "", "a picture without a text in its place"),
        ("<ul>", "<p>", "<li> inside <p>"),
    ],
)
def test_a_planted_fault_is_found(found: str, put: str, fault: str) -> None:
    assert Page(PAGE).faults == []
    planted = PAGE.replace(found, put, 1 if found != "<h2" else -1)
    assert planted != PAGE
    assert any(fault in one for one in Page(planted).faults), Page(planted).faults
