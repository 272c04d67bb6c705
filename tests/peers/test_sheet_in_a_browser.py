"""The sheet in a real browser, on paper, and before the checkers of the web's own standards.

The browser is headless Chromium; the checkers are the Nu HTML Checker (that of the standard's
authors) and html-validate.
"""

import json
import re
import subprocess
from pathlib import Path

import pytest

from episodes.answers.sheet import sheet
from episodes.exports.band_svg import band_file
from episodes.exports.sheet.page import sheet_page
from episodes.files.reading import read_season
from tests.exports.test_sheet import EPISODE, HOSTILE, HOURS, ROOM
from tests.peers.programs import node_modules, program
from tests.small_season import season

DEMO = Path(__file__).parents[2] / "episodes" / "demo"
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>\n')


def chromium(folder: Path, page: Path, *words: str) -> str:
    ran = subprocess.run(
        [
            program("chromium"),
            *("--headless=new", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"),
            *("--allow-file-access-from-files", f"--user-data-dir={folder / 'profile'}"),
            *words,
            page.as_uri(),
        ],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    return ran.stdout


def hostile_page(title: str) -> str:
    written = EPISODE.format(title=title.replace('"', '\\"'), link="javascript:alert(1)")
    planned = season(written, hours=HOURS, as_of="2027-03-01T07:30:00")
    return sheet_page(sheet(planned, ROOM))


@pytest.fixture(scope="module")
def demo() -> str:
    planned = read_season(DEMO, clock=0)
    return sheet_page(sheet(planned, planned.episodes[1].id))


@pytest.mark.parametrize("policy", [True, False], ids=["as-written", "without-its-policy"])
def test_nothing_in_a_hostile_title_runs(tmp_path: Path, policy: bool) -> None:
    """Not even where a browser knows no policy: the escaping alone holds."""
    for number, title in enumerate(HOSTILE):
        text = hostile_page(title)
        if not policy:
            text = POLICY.sub("", text)
            assert "Content-Security" not in text
        page = tmp_path / f"{number}.html"
        page.write_text(text, encoding="utf-8")
        dom = chromium(tmp_path, page, "--dump-dom")
        # What runs would have changed the page's title.
        assert re.search(r"<title>([^<]*)</title>", dom).group(1) not in ("run", "1")  # type: ignore[union-attr]
        assert "<script" not in dom
        assert "<img" not in dom


def test_a_script_in_the_page_itself_is_refused_by_its_policy(tmp_path: Path, demo: str) -> None:
    page = tmp_path / "page.html"
    run = "<script>document.title='run'</script></main>"
    page.write_text(demo.replace("</main>", run), encoding="utf-8")
    assert "<title>run</title>" not in chromium(tmp_path, page, "--dump-dom")
    # The probe is one that would be seen: without the policy it runs.
    page.write_text(POLICY.sub("", demo).replace("</main>", run), encoding="utf-8")
    assert "<title>run</title>" in chromium(tmp_path, page, "--dump-dom")


MEASURE = """<!DOCTYPE html><title>-</title>
<iframe id="f" src="{name}" style="width:{width}px;height:600px;border:0"></iframe>
<script>
onload = () => {{
  const page = document.getElementById('f').contentDocument;
  const style = (name) => page.defaultView.getComputedStyle(page.querySelector(name));
  document.title = JSON.stringify({{
    wide: page.documentElement.scrollWidth,
    font: style('td').fontSize,
    rule: style('h2').borderBottomWidth,
    broken: [...page.querySelectorAll('thead th')].some(
      (head) => head.getBoundingClientRect().height > 34),
  }});
}};
</script>"""


@pytest.mark.parametrize("width", [360, 900])
def test_it_fits_a_phone_and_a_desk_without_scrolling_sideways(
    tmp_path: Path, demo: str, width: int
) -> None:
    (tmp_path / "page.html").write_text(demo, encoding="utf-8")
    frame = tmp_path / "frame.html"
    frame.write_text(MEASURE.format(name="page.html", width=width), encoding="utf-8")
    dom = chromium(tmp_path, frame, "--dump-dom", "--window-size=1000,700")
    told = json.loads(re.search(r"<title>(.*?)</title>", dom).group(1))  # type: ignore[union-attr]
    assert told["wide"] == width
    assert told["font"] == "16px"
    assert told["rule"] == "2px", "the style sheet is refused by the policy"
    assert not told["broken"], "a table's head is broken within a word"


@pytest.mark.parametrize(("paper", "size"), [("A4", 595), ("Letter", 612)])
def test_it_prints_whole_in_black_and_white(
    tmp_path: Path, demo: str, paper: str, size: int
) -> None:
    page = tmp_path / "page.html"
    sized = POLICY.sub("", demo).replace("@page { margin", f"@page {{ size: {paper}; margin")
    page.write_text(sized, encoding="utf-8")
    made = tmp_path / "page.pdf"
    chromium(tmp_path, page, f"--print-to-pdf={made}", "--no-pdf-header-footer")
    told = subprocess.run(
        [program("pdfinfo"), str(made)], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    pages = int(re.search(r"Pages:\s+(\d+)", told).group(1))  # type: ignore[union-attr]
    assert 1 <= pages <= 6
    wide = float(re.search(r"Page size:\s+([\d.]+)", told).group(1))  # type: ignore[union-attr]
    assert round(wide) == size
    words = subprocess.run(
        ["pdftotext", str(made), "-"], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    for heading in re.findall(r"<h2[^>]*>([^<]*)</h2>", demo):
        assert heading in words
    subprocess.run(
        ["pdftoppm", "-r", "40", str(made), str(tmp_path / "paper")], check=True, timeout=60
    )
    pictures = sorted(tmp_path.glob("paper*.ppm"))
    assert len(pictures) == pages
    for picture in pictures:
        pixels = picture.read_bytes().split(b"\n", 3)[3]
        reds, greens, blues = pixels[0::3], pixels[1::3], pixels[2::3]
        assert reds == greens == blues, "there is colour on the paper"
        assert min(reds) < 60, "nothing is printed on it"


def test_the_picture_alone_is_drawn(tmp_path: Path) -> None:
    planned = read_season(DEMO, clock=0)
    one = sheet(planned, planned.episodes[0].id)
    page = tmp_path / "band.svg"
    page.write_text(band_file(one.check, one.episode), encoding="utf-8")
    shot = tmp_path / "band.png"
    chromium(tmp_path, page, f"--screenshot={shot}", "--window-size=980,560")
    assert shot.stat().st_size > 20_000, "the picture is blank"


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Sheets of the demo's rooms and of the hostile titles, in files."""
    folder: Path = tmp_path_factory.mktemp("pages")
    planned = read_season(DEMO, clock=0)
    texts = [sheet_page(sheet(planned, episode.id)) for episode in planned.episodes]
    texts += [hostile_page(title) for title in HOSTILE]
    files = []
    for number, text in enumerate(texts):
        files.append(folder / f"{number}.html")
        files[-1].write_text(text, encoding="utf-8")
    return files


def test_the_checker_of_the_standards_authors_finds_no_error(pages: list[Path]) -> None:
    jar = node_modules() / "vnu-jar" / "build" / "dist" / "vnu.jar"
    command = [program("java"), "-jar", str(jar), "--errors-only", "--format", "json"]
    ran = subprocess.run(
        [*command, *map(str, pages)], capture_output=True, text=True, timeout=120, check=False
    )
    assert json.loads(ran.stderr)["messages"] == []
    assert ran.returncode == 0
    broken = pages[0].with_name("broken.html")
    broken.write_text(pages[0].read_text().replace("</main>", "</main></b>"))
    ran = subprocess.run(
        [*command, str(broken)], capture_output=True, text=True, timeout=120, check=False
    )
    assert ran.returncode == 1, "a planted fault is not found"


def test_the_second_checker_finds_no_error(pages: list[Path]) -> None:
    rules = pages[0].parent / ".htmlvalidate.json"
    # Its count of a title's letters takes each escaped sign for five.
    settings = {"extends": ["html-validate:recommended"], "rules": {"long-title": "off"}}
    rules.write_text(json.dumps({"root": True, **settings}))
    command = [program("node"), str(node_modules() / "html-validate" / "bin" / "html-validate.mjs")]
    ran = subprocess.run(
        [*command, *map(str, pages)],
        cwd=pages[0].parent, capture_output=True, text=True, timeout=120, check=False,
    )  # fmt: skip
    assert (ran.returncode, ran.stdout) == (0, "")
