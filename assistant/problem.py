"""The one exception a person is meant to read."""

from __future__ import annotations


class Problem(Exception):
    """Something the person can put right: the message is one line, what is wrong and what to do.

    ``code`` is the exit status the command line gives: 1 asked back or not understood,
    2 usage or refused input.
    """

    def __init__(self, message: str, code: int = 2) -> None:
        super().__init__(" ".join(message.split()))
        self.code = code
