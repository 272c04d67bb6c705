"""A thing is taken out of a plan: what goes along, what is bridged, what stays."""

import tomllib

import pytest

from episodes.files.writing import Remove, changed
from episodes.files.writing_removal import removal
from tests.files.written_season import FILE, TEXTS, of_file, read


@pytest.fixture
def texts() -> dict[str, str]:
    return dict(TEXTS)


def test_what_waited_for_a_step_waits_for_what_that_one_did(texts):
    does = removal(texts, FILE, "step", "bench.glue")
    assert does.along == (("shot", "glue-up"),)
    assert does.waiting == ("paint.coat-2", "2027-06-porch:deck.lay")
    assert does.named == ("quick",)
    after = changed(texts, FILE, [Remove(kind="step", id="bench.glue")])
    read(after)
    assert 'after = ["coat-1", { step = "bench.cut", gap = "2h" }]' in after[FILE]
    assert 'after = ["2027-05-laundry:bench.cut"]' in after["2027-06-porch.toml"]
    assert 'drop = ["bench.sand"]' in after[FILE]
    assert "[[shot]]" not in after[FILE]
    assert "# sets overnight" in after[FILE]


def test_the_next_step_in_the_file_waits_for_what_the_one_before_it_named(texts):
    after = changed(texts, FILE, [Remove(kind="step", id="bench.cut")])
    read(after)
    glue = tomllib.loads(after[FILE])["job"][0]["step"][0]
    assert glue["also_after"] == ["lumber", {"step": "screws", "gap": "2h"}]
    assert 'id = "quick"\ndrop = ["bench.sand", "bench.glue"]\n' in after[FILE]


def test_a_step_that_follows_by_the_files_order_alone_needs_no_word(texts):
    gone, come = of_file(texts, Remove(kind="step", id="bench.set"))
    assert come == []
    assert gone == [
        "  # sets overnight\n",
        "  [[job.step]]\n",
        '  id = "set"\n',
        '  wait = "12h"\n',
        "\n",
    ]


def test_a_way_out_that_then_changes_nothing_goes_too(texts):
    texts[FILE] = texts[FILE].replace('hands = { "bench.cut" = "1h" }\n', "")
    after = changed(
        texts, FILE, [Remove(kind="step", id="bench.sand"), Remove(kind="step", id="bench.glue")]
    )
    assert "[[fallback]]" not in after[FILE]


def test_a_job_goes_with_its_steps_and_the_rule_above_it_stays(texts):
    after = changed(texts, FILE, [Remove(kind="job", id="bench")])
    read(after)
    assert "the bench folds" not in after[FILE]
    assert "- the work\n[[job]]\n" in after[FILE]
    assert "after" not in tomllib.loads(after[FILE])["job"][0] or (
        tomllib.loads(after[FILE])["job"][0]["after"] == ["lumber", {"step": "screws", "gap": "2h"}]
    )
