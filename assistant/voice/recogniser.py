"""What a recogniser is: audio in, alternatives out.

Audio everywhere in this package is ``bytes``: 16 kHz, one channel, signed 16-bit little-endian.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Final, NamedTuple, Protocol

RATE: Final = 16_000
#: Bytes in one second.
SECOND: Final = RATE * 2

#: How well a text reads: 0 is best, None is "no sentence of the trade".
Cost = Callable[[str], float | None]


#: Stands at the end of a text whose rest was free speech, after a note's cue.
FREE: Final = "..."


class PhraseSource(Protocol):
    """Where a recogniser gets what can be said. Everything it knows of the trade comes through here."""

    def jsgf(self) -> str:
        """Give a JSGF grammar (``#JSGF V1.0``) with one public rule, its words in lower case."""

    def phrases(self) -> list[str]:
        """Give phrases that together use the vocabulary as it is used, for a recogniser that takes a list."""

    def words(self) -> set[str]:
        """Give every word of the grammar."""


def note_cues(phrases: PhraseSource) -> list[str]:
    """Give the words after which anything may be said ("note"), from the source's ``note_cues`` if it has that."""
    found = getattr(phrases, "note_cues", None)
    return list(found()) if found else []


class Reply(Protocol):
    """What the loop needs of a reply; ``assistant.reply.Reply`` is one."""

    outcome: str
    reply: str
    cautions: list[str]

    def to_json(self) -> dict[str, Any]:
        """Give the public form."""


class Alternative(NamedTuple):
    """One thing that may have been said; ``confidence`` is 0 to 1 among the alternatives."""

    text: str
    confidence: float


@dataclass(frozen=True, slots=True)
class Opinion:
    """What an ear that is held to no grammar makes of the same sound.

    ``gap`` is how much likelier (nats) it finds what it writes itself than the best sentence, ``single`` what the
    grammar's own ear alone would have chosen, ``own`` the sentence that this ear alone would have, each time that it
    heard the sound, ``sure`` the logarithm of how likely it finds its writing, a word. ``written`` is that writing and
    others in the trade's words, each with how much less likely it is (nats).
    """

    gap: float
    single: str
    own: tuple[str, ...]
    sure: float
    written: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class Recognition:
    """What came of an utterance: alternatives, best first, and how far the best stands from free speech.

    ``distance`` is how much worse, in nats a frame of 10 ms, the best sentence explains the sound than
    free phones do: small when a sentence of the grammar was said, large when something else was. None
    where the recogniser has no such measure (it then has a word for what it does not know). ``worst`` is the
    same for the word that fits least, since what one other word makes of a sentence is lost in the whole.
    ``cue`` is the same for the words before free speech alone, where the text ends in ``FREE``, and ``rest`` how
    far into the sound (seconds) the free speech begins; ``tail`` are its words, where they are known. ``second`` is
    the opinion of a second ear, if there is one.
    """

    alternatives: tuple[Alternative, ...]
    distance: float | None = None
    worst: float | None = None
    cue: float | None = None
    rest: float | None = None
    tail: str | None = None
    second: Opinion | None = None


class Recogniser(Protocol):
    """Hears sentences of a phrase source.

    ``start``, then ``feed`` chunks of any size; ``partial`` says what it would be if it ended here;
    ``finish`` ends the utterance. Every utterance starts afresh: nothing of the last one leaks in.
    """

    name: str

    def start(self, room: bytes = b"") -> None:
        """Begin an utterance. ``room`` is what the room sounded like just before it, if that is known."""

    def feed(self, chunk: bytes) -> None:
        """Take more sound."""

    def partial(self) -> str:
        """Give the best text so far, "" if none."""

    def whole(self, text: str) -> bool:
        """Whether ``text`` is a sentence that nothing can follow."""

    def ahead(self) -> None:
        """Begin what takes its time: this may have been all. Told again if it was not."""

    def finish(self) -> Recognition:
        """End the utterance."""

    def free(self, clip: bytes) -> str:
        """Give the best guess without the grammar (a note's words), "" if there is none."""

    def again(self, clip: bytes) -> Recognition | None:
        """Give what comes of the last utterance's sound as it came, heard in another way than before.

        A further opinion, asked for in noise, between utterances; None from a recogniser that has none.
        """

    def close(self) -> None:
        """Let go of the model."""
