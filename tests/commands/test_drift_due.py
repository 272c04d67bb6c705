"""`drift` counts what was to be over by now: missed tasks and the execution index."""

from tests.commands.seasons import Desk


def room(desk: Desk, now: str) -> dict[str, object]:
    answer = desk("drift", "--json", "--now", now)
    assert answer.code == 0
    found: dict[str, object] = answer.json["rooms"][0]
    return found


def test_right_after_go_nothing_is_due(desk: Desk) -> None:
    desk("go")
    found = room(desk, "2027-04-14T18:00")
    assert (found["due"], found["missed"], found["execution_index"]) == (0, [], None)
    assert "to be over by now" not in desk("drift").out


def test_what_was_due_and_is_not_done_is_named_with_the_index(desk: Desk) -> None:
    """On the 19th at 18:00 the before shot (14th) and the board (just now) were to be over."""
    desk("go")
    desk("taken", "before", "--at", "2027-04-14T18:00")
    found = room(desk, "2027-04-19T18:00")
    assert found["due"] == 2
    assert found["missed"] == ["board"]
    assert found["execution_index"] == 0.5
    out = desk("drift", "--now", "2027-04-19T18:00").out
    assert (
        "1 of 2 that were to be over by now are (execution index 0.50, 0.95 is asked for); "
        "not yet: board."
    ) in out


def test_what_is_done_early_counts_for_what_is_not(desk: Desk) -> None:
    """Two were due, one of them is over, and a step that was due later."""
    desk("go")
    desk("taken", "before", "--at", "2027-04-14T18:00")
    desk("done", "cut", "--at", "2027-04-14T18:00")
    found = room(desk, "2027-04-19T18:00")
    assert found["missed"] == ["board"]
    assert found["execution_index"] == 1.0
    assert "execution index" not in desk("drift", "--now", "2027-04-19T18:00").out
