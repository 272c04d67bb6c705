"""A terminal in memory: a program on a pseudo-terminal, its screen read back with pyte.

What the program writes is kept byte for byte (`raw`) and drawn (`rows`). Waiting is for a text or
for the end of the program, never for a time.
"""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
from collections.abc import Callable, Sequence
from pathlib import Path
from time import monotonic

import pyte

ROOT = Path(__file__).parents[2]
PATIENCE = 20.0
"""Seconds after which a wait has failed; far more than anything here takes."""

_HIDDEN = re.compile(
    rb"\x1b\[[<=>?][0-9;]*(?:\$?[a-zA-Z])"  # private CSI, which pyte would print as letters
    rb"|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)"  # OSC
    rb"|\x1bP[^\x1b]*\x1b\\"  # DCS
)


class Terminal:
    """A program running on a terminal of a size in cells; closes it with the context."""

    def __init__(
        self,
        argv: Sequence[str],
        *,
        width: int = 80,
        height: int = 24,
        env: dict[str, str] | None = None,
        cwd: Path = ROOT,
    ) -> None:
        self._leader, follower = pty.openpty()
        self.raw = b""
        self._screen = pyte.Screen(width, height)
        self._stream = pyte.ByteStream(self._screen)
        self._pending = b""
        self._size(width, height)
        self.process = subprocess.Popen(
            [sys.executable, *argv],
            stdin=follower,
            stdout=follower,
            stderr=follower,
            cwd=cwd,
            env={
                "PATH": os.environ.get("PATH", ""),
                "HOME": os.environ.get("HOME", ""),
                "LANG": "C.UTF-8",
                "TERM": "xterm-256color",
                "PYTHONPATH": str(ROOT),
                **{key: value for key, value in os.environ.items() if key.startswith("XDG_")},
                **(env or {}),
            },
            start_new_session=True,
        )
        os.close(follower)

    def __enter__(self) -> "Terminal":
        return self

    def __exit__(self, *_: object) -> None:
        if self.process.poll() is None:
            self.process.kill()
        self.process.wait()
        os.close(self._leader)

    @property
    def rows(self) -> list[str]:
        return [row.rstrip() for row in self._screen.display]

    @property
    def text(self) -> str:
        return "\n".join(self.rows)

    def send(self, keys: str) -> None:
        os.write(self._leader, keys.encode())

    def resize(self, width: int, height: int) -> None:
        self._screen.resize(height, width)
        self._size(width, height)
        self.process.send_signal(signal.SIGWINCH)

    def _size(self, width: int, height: int) -> None:
        fcntl.ioctl(self._leader, termios.TIOCSWINSZ, struct.pack("HHHH", height, width, 0, 0))

    def wait(self, seen: Callable[[], bool], what: str) -> None:
        """Reads until `seen`; fails with the screen as it stands."""
        until = monotonic() + PATIENCE
        while not seen():
            if monotonic() > until or not self._read(until):
                raise AssertionError(f"{what} was not seen on:\n{self.text}")

    def wait_for(self, text: str) -> str:
        """Waits until a text is on the screen; the whole screen then."""
        self.wait(lambda: text in self.text, repr(text))
        return self.text

    def press(self, keys: str, then: str) -> str:
        """Sends keys and waits for a text."""
        self.send(keys)
        return self.wait_for(then)

    def end(self) -> int:
        """Waits for the program's end; its exit code."""
        until = monotonic() + PATIENCE
        while self._read(until):
            pass
        return self.process.wait(timeout=PATIENCE)

    def _read(self, until: float) -> bool:
        """Draws what has come; False once nothing more will."""
        ready, _, _ = select.select([self._leader], [], [], max(until - monotonic(), 0))
        if not ready:
            return False
        try:
            data = os.read(self._leader, 65536)
        except OSError:  # Linux says so where the other end is closed
            return False
        self.raw += data
        data = self._pending + data
        # An escape sequence may be cut in two by the read; keep a beginning for the next time.
        cut = data.rfind(b"\x1b")
        self._pending = b""
        if cut >= 0 and len(data) - cut < 40 and not re.search(rb"[a-zA-Z\x07\\]", data[cut + 2 :]):
            data, self._pending = data[:cut], data[cut:]
        self._stream.feed(_HIDDEN.sub(b"", data))
        return bool(data or self._pending)


def colours(raw: bytes) -> set[str]:
    """The colour codes in the output: all of SGR but defaults, bold, dim, italic, reverse."""
    found = set()
    for codes in re.findall(rb"\x1b\[([0-9;]*)m", raw):
        for code in codes.decode().split(";"):
            if code not in ("", "0", "1", "2", "3", "4", "7", "22", "23", "24", "27", "39", "49"):
                found.add(code)
    return found
