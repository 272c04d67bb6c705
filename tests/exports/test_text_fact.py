"""What a written fact means: said in a sentence or two, with what became of the verdict."""

from dataclasses import replace

from episodes.exports.text_fact import fact_text
from tests.exports.answers_by_hand import LAUNDRY, NOW, at, laundry, porch, season, with_step


def glued() -> object:
    done = with_step(laundry(), "bench.glue", state="done", finish=NOW, sessions=())
    return with_step(done, "bench.set", start=NOW, finish=at("04-15", "07:00"))


def test_a_done_step_says_what_is_free_when_and_what_comes_next() -> None:
    after = season(glued())  # type: ignore[arg-type]
    assert fact_text("Glue up: done 18:00", season(laundry()), after, LAUNDRY, "bench.glue") == (
        "Glue up: done 18:00. Clamps free Thu 15 Apr 07:00; next: Flatten, Thu 15 Apr 18:00.\n"
        "Laundry room still meets Fri 7 May 09:00 with 3 d 4 h to spare."
    )


def test_a_verdict_that_changed_says_what_it_was() -> None:
    worse = replace(
        laundry(), verdict="slips", proved=True, spare_min=-60, ready_by=at("05-07", "10:00")
    )
    text = fact_text("Flatten: 4 h left", season(laundry()), season(worse), LAUNDRY, "nothing")
    assert text.splitlines()[-1] == (
        "Laundry room slips Fri 7 May 09:00 by 1 h: ready Fri 7 May 10:00. "
        "No plan of this season meets it. Before: 3 d 4 h to spare."
    )


def test_another_room_is_spoken_of_only_if_it_moved() -> None:
    before = season(laundry(), porch())
    assert "Porch" not in fact_text("x", before, before, LAUNDRY)
    after = season(laundry(), replace(porch(), spare_min=-1440))
    assert "Before: 8 d late." in fact_text("x", before, after, LAUNDRY)


def test_an_ordered_parcel_says_when_it_comes_and_when_it_must() -> None:
    text = fact_text("Tiles: ordered 18:00", None, season(laundry()), LAUNDRY, "tiles")
    assert text.splitlines()[0] == (
        "Tiles: ordered 18:00. In hand Tue 20 Apr 18:00; last arrival that meets Fri 23 Apr 18:00."
    )


def test_an_arrived_parcel_says_what_waited_for_it_and_until_when_it_can_go_back() -> None:
    text = fact_text("Birch boards: arrived", None, season(laundry()), LAUNDRY, "lumber")
    assert text.splitlines()[0] == (
        "Birch boards: arrived. Waiting for it: Glue up, 18:00; can go back until Wed 12 May 24:00."
    )


def test_a_fact_of_nobodys_in_particular_tells_only_what_changed() -> None:
    same = season()
    assert fact_text("Builder: off 2027-04-20", same, same) == (
        "Builder: off 2027-04-20.\nNo release moves."
    )
