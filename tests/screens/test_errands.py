"""Long questions: answered in another process, the newest of a name, none that is not wanted."""

import io
import os
import pickle
import time
from collections.abc import Iterator
from functools import partial
from queue import Queue

import pytest

from episodes.problems import EpisodesError, Place, PlanError, Problem
from episodes.screens.errand_process import serve
from episodes.screens.errands import Failed, OtherProcess


@pytest.fixture
def errands() -> Iterator[OtherProcess]:
    going = OtherProcess(lambda call: call())
    yield going
    going.close()


def test_a_question_is_answered_in_another_process(errands):
    got: Queue[object] = Queue()
    errands.ask("who", os.getpid, got.put)
    assert got.get(timeout=20) not in (os.getpid(), None)


def test_a_newer_question_of_the_same_name_ends_the_older_one(errands):
    got: Queue[object] = Queue()
    errands.ask("odds", partial(time.sleep, 600), got.put)
    errands.ask("odds", partial(max, 1, 2), got.put)
    assert got.get(timeout=20) == 2
    assert got.empty()


def test_one_that_is_waited_for_goes_before_one_that_is_nice_to_know(errands):
    got: Queue[object] = Queue()
    errands.ask("odds", partial(time.sleep, 0.5), lambda _: got.put("odds"), urgent=False)
    errands.ask("ways", partial(max, 1, 2), lambda _: got.put("ways"))
    assert [got.get(timeout=20), got.get(timeout=20)] == ["ways", "odds"]


def test_a_question_that_is_replaced_while_it_waits_is_never_begun(errands):
    got: Queue[object] = Queue()
    errands.ask("odds", partial(max, 1, 2), got.put, after=600)
    errands.ask("odds", partial(max, 3, 4), got.put)
    assert got.get(timeout=20) == 4
    assert got.empty()


def test_a_process_that_dies_and_a_question_that_cannot_be_asked_are_failures(errands):
    got: Queue[object] = Queue()
    errands.ask("a", partial(os._exit, 1), got.put)
    assert got.get(timeout=20) == Failed("it was ended before it had an answer")
    errands.ask("a", lambda: 1, got.put)
    assert isinstance(got.get(timeout=20), Failed)
    errands.ask("a", partial(max, 1, 2), got.put)
    assert got.get(timeout=20) == 2, "and the next one gets a new process"


def test_closing_ends_what_is_worked_on_and_answers_nothing_more(errands):
    got: Queue[object] = Queue()
    errands.ask("a", partial(time.sleep, 600), got.put)
    errands.close()
    errands.ask("a", partial(max, 1, 2), got.put)
    assert errands._thread is not None
    errands._thread.join(timeout=20)
    assert not errands._thread.is_alive()
    assert got.empty()


PROBLEM = Problem(level="error", code="circle", where=Place("a.toml", 3), text="goes round.")


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (EpisodesError("no such room"), "no such room"),
        (PlanError([PROBLEM]), "a.toml:3: error circle: goes round."),
        (KeyError("secret of the plan"), "a fault of the program, not of the plan (KeyError)"),
    ],
)
def test_a_fault_comes_back_as_one_line_that_tells_nothing_of_the_plan(error, said):
    # Errors of ours do not all pickle, so what raises them is served here and not sent.
    send = io.BytesIO()
    raising = Raising()
    Raising.error = error
    serve(io.BytesIO(pickle.dumps(raising)), send)
    assert pickle.loads(send.getvalue()) == ("fault", said)


class Raising:
    """A question with no answer."""

    error: Exception

    def __call__(self) -> None:
        raise self.error
