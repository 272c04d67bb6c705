"""A program that is stopped and goes on: Ctrl+Z, or a stop from outside.

Textual takes every going on for the end of a Ctrl+Z and starts reading keys once more; after a
stop that was none (a debugger, a frozen machine) two readers would share the keys between them and
some would be lost. So only what was suspended is resumed; else the screen is drawn anew.
"""

import signal
import threading
from contextlib import suppress
from typing import Any

from textual.app import App


def mind_going_on(app: App[Any]) -> None:
    """Put the handler for going on in the place of the driver's, where there is one."""
    going_on = getattr(signal, "SIGCONT", None)
    driver = app._driver
    if going_on is None or driver is None or not driver.can_suspend:
        return
    if threading.current_thread() is not threading.main_thread():
        return
    resume = signal.getsignal(going_on)

    def went_on(number: int, frame: Any) -> None:
        if getattr(driver, "_must_signal_resume", True):
            if callable(resume):
                resume(number, frame)
        else:
            app.call_later(app.refresh)

    with suppress(ValueError):
        signal.signal(going_on, went_on)
