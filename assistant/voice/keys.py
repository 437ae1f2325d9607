"""The keyboard while hands-free: a key cuts a reply, the space bar is push-to-talk, a line typed is a phrase."""

from __future__ import annotations

import queue
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager


class Keyboard:
    """Keys as they are pressed; nothing where standard input is no terminal."""

    def __init__(self) -> None:
        self._keys: queue.SimpleQueue[str] = queue.SimpleQueue()
        self._line = ""
        self._open = sys.stdin is not None and sys.stdin.isatty()
        if self._open:
            threading.Thread(target=self._read, daemon=True).start()

    def take(self) -> tuple[bool, bool, str]:
        """Give what was pressed since last time: any key, the space bar on an empty line, a whole line."""
        pressed = spaced = False
        while not self._keys.empty():
            key = self._keys.get()
            pressed = True
            if key in "\r\n":
                line, self._line = self._line.strip(), ""
                if line:
                    return True, spaced, line
            elif key in "\x7f\b":
                self._line = self._line[:-1]
            elif key == " " and not self._line:
                spaced = True
            elif key.isprintable():
                self._line += key
        return pressed, spaced, ""

    def _read(self) -> None:
        with _raw():
            while self._open:
                key = _key()
                if not key:
                    return
                self._keys.put(key)


@contextmanager
def _raw() -> Iterator[None]:
    """Give keys one by one and leave the terminal as it was. Ctrl-C still interrupts."""
    if sys.platform == "win32":
        yield
        return
    import atexit
    import termios
    import tty

    before = termios.tcgetattr(sys.stdin)

    def restore() -> None:
        termios.tcsetattr(sys.stdin, termios.TCSADRAIN, before)

    atexit.register(restore)  # the reading thread dies with the program, and would not
    try:
        tty.setcbreak(sys.stdin)
        yield
    finally:
        restore()


def _key() -> str:
    if sys.platform == "win32":
        import msvcrt

        return msvcrt.getwch()
    return sys.stdin.read(1)
