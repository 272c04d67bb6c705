"""Long questions, asked in another process, so that no key ever waits for one.

A question is a callable that can be pickled; its answer comes back through `then`. One is worked
on at a time: a newer one of the same name takes the place of the older, and one that somebody
waits for goes before one that is merely nice to know. What is no longer wanted is not finished:
its process is ended and the next question gets a new one.
"""

import pickle
import subprocess
import sys
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from threading import Condition, Thread
from time import monotonic
from typing import IO, Protocol

Question = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Failed:
    """No answer; the text says why."""

    text: str


class Errands(Protocol):
    """Where long questions go; tests have one of their own."""

    def ask(
        self,
        name: str,
        question: Question,
        then: Callable[[object], None],
        *,
        after: float = 0.0,
        urgent: bool = True,
    ) -> None:
        """Has a question answered; `then` gets the answer or a `Failed`, in the app's own turn.

        Args:
            name: a question of this name that waits or is worked on is forgotten.
            after: seconds to wait for a newer one before it is begun.
            urgent: somebody waits for it.
        """

    def close(self) -> None:
        """Ends what is being worked on; nothing is answered any more."""


@dataclass(slots=True)
class _Errand:
    name: str
    question: Question
    then: Callable[[object], None]
    begin: float
    urgent: bool
    stopped: bool = False


class OtherProcess:
    """The errands of an app.

    Args:
        post: has a function called by the app in its own turn; called from a thread.
    """

    def __init__(self, post: Callable[[Callable[[], None]], object]) -> None:
        self._post = post
        self._waiting: dict[str, _Errand] = {}
        self._running: _Errand | None = None
        self._worker: _Worker | None = None
        self._thread: Thread | None = None
        self._closed = False
        self._turn = Condition()

    def ask(
        self,
        name: str,
        question: Question,
        then: Callable[[object], None],
        *,
        after: float = 0.0,
        urgent: bool = True,
    ) -> None:
        errand = _Errand(name, question, then, monotonic() + after, urgent)
        with self._turn:
            if self._closed:
                return
            self._waiting[name] = errand
            running = self._running
            if running is not None and running.name == name:
                self._stop(running)
            elif running is not None and urgent and not running.urgent:
                self._stop(running)
                again = _Errand(running.name, running.question, running.then, 0.0, False)
                self._waiting.setdefault(running.name, again)
            if self._thread is None:
                self._thread = Thread(target=self._work, name="errands", daemon=True)
                self._thread.start()
            self._turn.notify()

    def close(self) -> None:
        with self._turn:
            self._closed = True
            self._waiting.clear()
            if self._running is not None:
                self._stop(self._running)
            elif self._worker is not None:
                self._worker.end()
            self._turn.notify()

    def _stop(self, errand: _Errand) -> None:
        errand.stopped = True
        if self._worker is not None:
            self._worker.end()
            self._worker = None

    # -- in the thread

    def _work(self) -> None:
        while (errand := self._next()) is not None:
            answer = self._answer(errand)
            with self._turn:
                self._running = None
                wanted = not errand.stopped and errand.name not in self._waiting
            if wanted:
                # The app may be gone by now.
                with suppress(Exception):
                    self._post(partial(errand.then, answer))

    def _next(self) -> _Errand | None:
        """Waits for a question whose time has come; None once closed."""
        with self._turn:
            while not self._closed:
                ready = monotonic()
                due = [each for each in self._waiting.values() if each.begin <= ready]
                if due:
                    errand = min(due, key=lambda each: (not each.urgent, each.begin))
                    del self._waiting[errand.name]
                    self._running = errand
                    return errand
                begins = [each.begin for each in self._waiting.values()]
                self._turn.wait(min(begins) - ready if begins else None)
            return None

    def _answer(self, errand: _Errand) -> object:
        with self._turn:
            if errand.stopped:
                return None
            if self._worker is None:
                self._worker = _Worker()
            worker = self._worker
        try:
            return worker.answer(errand.question)
        except Exception:  # noqa: BLE001 - a thread's traceback would be drawn over the screen
            with self._turn:
                if self._worker is worker:
                    self._worker = None
            worker.end()
            return Failed("it was ended before it had an answer")


class _Worker:
    """A process that answers one question after another over its standard streams."""

    def __init__(self) -> None:
        # -P and the package's own folder: nothing is ever imported from the user's season.
        home = str(Path(__file__).parents[2])
        line = (
            "import sys; sys.path.insert(0, sys.argv[1]); "
            "from episodes.screens.errand_process import main; main()"
        )
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-c", line, home],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )

    def answer(self, question: Question) -> object:
        """Asks and waits. Raises OSError or EOFError where the process has ended."""
        send, receive = self._process.stdin, self._process.stdout
        assert send is not None
        assert receive is not None
        pickle.dump(question, send)
        send.flush()
        return _read(receive)

    def end(self) -> None:
        self._process.kill()
        self._process.wait()
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                # What could not be sent is not wanted any more.
                with suppress(OSError):
                    stream.close()


def _read(stream: IO[bytes]) -> object:
    said, value = pickle.load(stream)
    return value if said == "answer" else Failed(value)
