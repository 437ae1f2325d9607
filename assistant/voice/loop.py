"""The hands-free loop: hear, understand, answer aloud.

Knows nothing of what is talked about. A turn reads a text and gives a reply; a phrase source says what may be said.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterable, Iterator
from datetime import datetime
from itertools import chain, repeat
from pathlib import Path
from typing import Any, Final, Protocol

from assistant.problem import Problem
from assistant.voice import clips as kept
from assistant.voice.activity import Detector, Segmenter, silero
from assistant.voice.aloud import Aloud
from assistant.voice.device import Loudspeaker, Microphone
from assistant.voice.ears import Ears, Utterance
from assistant.voice.engines import open_recogniser
from assistant.voice.judge import judge
from assistant.voice.keys import Keyboard
from assistant.voice.mouth import LONGEST_START, BargeIn, Mouth
from assistant.voice.recogniser import FREE, RATE, PhraseSource, Recogniser, Reply
from assistant.voice.sound import FRAME_BYTES, Recording, clipped, frames
from assistant.voice.speakers import Silent, Speaker, best, letter_to_sound
from assistant.voice.suppressor import Suppressor
from assistant.voice.verdict import Ruling, Verdict
from assistant.voice.wake import DEFAULT as WAKE
from assistant.voice.wake import Spotter, cleaned

#: After an exchange it listens so long without the wake phrase, seconds.
ATTENTION: Final = 20.0
_ECHO: Final = 0.25  # seconds after a reply that are still one's own voice
_DRAIN: Final = 0.3  # seconds that a loudspeaker may go on playing after it was cut
_OPENING: Final = 3.0  # seconds that its first sound is waited for
_ALARMS: Final = 5.0  # seconds between two looks for alarms
#: Put after a note whose words are a guess; the clip has the words themselves.
GUESS: Final = "[heard roughly]"

NOISY: Final = "Too noisy to trust: say it again, closer."
NUMBER: Final = "I did not get the number: say it again, closer."
UNCLEAR: Final = "I did not catch that."
SHOUTED: Final = "The microphone is overloaded: a little quieter."


class Turn(Protocol):
    """What takes a phrase; ``assistant.turn.Session`` is one."""

    def read_cost(self, text: str, /) -> float | None:
        """Give how well a text reads: 0 is best, None is no sentence."""

    def free_cost(self, text: str, /) -> float | None:
        """Give the same for a text that no grammar vouches for: other talk must not read as a sentence."""

    def take(self, text: str, now: datetime, /) -> Reply:
        """Take a phrase."""


def _stderr(line: str) -> None:
    print(line, file=sys.stderr, flush=True)  # noqa: T201 - the one place where the loop speaks outside its replies


def listen(
    turn: Turn,
    phrases: PhraseSource,
    *,
    now: Callable[[], datetime],
    out: Callable[[dict[str, Any]], None],
    wav: Path | None = None,
    model: Path | None = None,
    speaker: Speaker | str | None = None,
    device: str | None = None,
    clips: Path | None = None,
    keep_days: int | None = kept.KEPT_DAYS,
    wake: str | None = WAKE,
    push_to_talk: bool = False,
    alarms: Callable[[datetime], Iterable[str]] | None = None,
    told: Callable[[str], None] = _stderr,
    suppress: bool = True,
) -> int:
    """Listen until interrupted, or to the end of the recording ``wav``; each reply's JSON goes to ``out``, in order.

    ``speaker`` is one, or a name of ``assistant.voice.speakers.NAMES``; by default the best there is, and for a
    recording none. ``clips`` is the folder for what was heard (None keeps nothing). ``wake`` None listens to
    everything; in a recording the phrase is optional. ``alarms`` gives what has fallen due. ``told`` gets
    what is to be said to the person outside replies, a line each. Gives the exit status: 0 if something was
    understood (or nobody spoke before the end of a live session), else 1.
    """
    wake = cleaned(wake) if wake else ""
    if clips is not None:
        kept.age(clips, keep_days)
    recogniser = open_recogniser(phrases, model=model, wake=wake, told=told)
    try:
        loop = Loop(turn, recogniser, now=now, out=out, clips=clips, told=told, suppress=suppress, wake=wake)
        if wav is not None:
            return loop.recording(Recording(wav), _mouth(speaker or "none", None, told))
        spotter = Spotter(wake, letter_to_sound) if wake and not push_to_talk else None
        microphone = Microphone(device, told)
        mouth = _mouth(speaker, None, told)
        return loop.live(microphone, mouth, spotter, push_to_talk=push_to_talk, alarms=alarms)
    finally:
        recogniser.close()


def _mouth(speaker: Speaker | str | None, device: str | None, told: Callable[[str], None]) -> Mouth:
    """Give a mouth; without a loudspeaker it is dumb, which is told."""
    voice = best(speaker or "") if speaker is None or isinstance(speaker, str) else speaker
    if isinstance(voice, Silent):
        if speaker is None:
            told("no voice here (pip install espeakng-loader): replies are printed only")
        return Mouth(voice, None)
    try:
        return Mouth(voice, Loudspeaker(voice.rate, device))
    except Problem as problem:
        told(f"{problem}: replies are printed only")
        voice.close()
        return Mouth(Silent(), None)


class Loop:
    """One session of listening."""

    def __init__(
        self, turn: Turn, recogniser: Recogniser, *, now: Callable[[], datetime], out: Callable[[dict[str, Any]], None],
        clips: Path | None = None, told: Callable[[str], None] = _stderr, suppress: bool = True,
        detector: Detector | None = None, wake: str = "",
    ) -> None:  # fmt: skip
        self._turn = turn
        self._recogniser = recogniser
        self._now = now
        self._out = out
        self._clips = clips
        self._told = told
        self._detector = detector or silero()
        self._suppress = suppress
        self._segmenter = Segmenter(self._detector)
        self._mouth = Mouth(Silent(), None)
        self._aloud = Aloud()
        self._awake_until = 0.0
        self._wake = wake
        self.understood = 0
        self.missed = 0

    # -- a recording ----------------------------------------------------------------------------

    def recording(self, sound: Recording, mouth: Mouth) -> int:
        """Hear a recording to its end; ``Problem`` if nobody speaks in it."""
        self._mouth = mouth
        if sound.odd:
            self._told(sound.odd)
        try:
            self.hear(frames(sound.pieces()))
        finally:
            mouth.close()
        if not self.understood and not self.missed:
            raise Problem(f"nobody speaks in {sound.path.name}: record it again, closer to the microphone", code=1)
        return 0 if self.understood else 1

    def hear(self, stream: Iterable[bytes]) -> None:
        """Hear frames to their end; only a reply that is being spoken is waited for."""
        ears = self._ears(None)
        for frame in chain(stream, repeat(bytes(FRAME_BYTES), 45)):  # a recording may stop on its last word
            self._heard(ears.push(frame))
            self._said()
        self._heard(ears.finish())
        self._said()

    def _said(self) -> None:
        while self._mouth.speaking:
            time.sleep(0.05)

    # -- a microphone ----------------------------------------------------------------------------

    def live(
        self, microphone: Microphone, mouth: Mouth, spotter: Spotter | None, *, push_to_talk: bool = False,
        alarms: Callable[[datetime], Iterable[str]] | None = None,
    ) -> int:  # fmt: skip
        """Hear the microphone until interrupted."""
        self._mouth = mouth
        ears = self._ears(spotter)
        keys = Keyboard()
        gate = Gate(self._detector, mouth, self._segmenter)
        pressed = not push_to_talk
        looked = time.monotonic()
        self._open_up(microphone, _ready(spotter, push_to_talk=push_to_talk))
        try:
            for frame in microphone.frames():
                if self._keyed(keys.take()) and push_to_talk:
                    pressed = not pressed
                    mouth.sound("heard")
                    if not pressed:
                        self._heard(ears.finish(), woken=True)
                if mouth.speaking:
                    if time.monotonic() < self._awake_until:
                        self._attend()  # the answer may be longer than the attention
                elif alarms is not None and time.monotonic() - looked > _ALARMS and not ears.hearing:
                    looked = time.monotonic()
                    self._alarm(alarms(self._now()))
                if frame is None:
                    continue
                if gate.shut(frame):
                    ears.deaf()
                elif pressed:
                    for heard in gate.held(frame):
                        found = ears.push(heard, awake=spotter is None or time.monotonic() < self._awake_until)
                        if found is not None:
                            self._heard(found, woken=push_to_talk)
                            pressed = not push_to_talk
        except KeyboardInterrupt:
            return 0
        finally:
            mouth.close()
            microphone.close()
        return 0

    def _open_up(self, microphone: Microphone, ready: str) -> None:
        """Say that it listens once it does: a loudspeaker may take a second or two to make its first sound."""
        self._mouth.sound("heard")
        end = time.monotonic() + _OPENING
        while self._mouth.speaking and time.monotonic() < end:
            time.sleep(0.05)
        microphone.forget()
        self._told(ready)

    def _keyed(self, taken: tuple[bool, bool, str]) -> bool:
        """Do what was pressed: any key cuts a reply, a line is a phrase. Whether the space bar was."""
        key, spaced, line = taken
        if key:
            self._mouth.cut()
        if line:
            self._answer(line)
        return spaced

    # -- what was heard ----------------------------------------------------------------------------

    def _ears(self, spotter: Spotter | None) -> Ears:
        def reads(text: str) -> str:
            bare = self._bare(text)
            return bare if bare and self._turn.read_cost(bare) is not None else ""

        return Ears(self._recogniser, self._segmenter, Suppressor(on=self._suppress), reads, spotter)

    def _bare(self, text: str) -> str:
        """Give a text without the wake phrase before it."""
        return text[len(self._wake) :].strip() if self._wake and f"{text} ".startswith(f"{self._wake} ") else text

    def _heard(self, found: Utterance | None, *, woken: bool = False) -> None:
        if found is None:
            return
        best_text = found.recognition.alternatives[0].text if found.recognition.alternatives else ""
        called = self._bare(best_text) != best_text
        if found.woken and not called:
            return  # the spotter alone is not believed
        verdict = judge(
            found.recognition, found.snr, self._cost, woken=woken or called,
            again=lambda: self._recogniser.again(found.clip), loosely=self._loosely,
        )  # fmt: skip
        if called and not self._bare(best_text) and verdict.ruling not in (Ruling.TAKE, Ruling.NOTE):
            if verdict.ruling is Ruling.UNCLEAR:  # the phrase alone is no sentence, but it is meant
                self._attend()
                self._mouth.sound("heard")
            return
        self._rule(found, verdict)

    def _cost(self, text: str) -> float | None:
        bare = self._bare(text)
        return self._turn.read_cost(bare) if bare else None

    def _loosely(self, text: str) -> float | None:
        bare = self._bare(text)
        return self._turn.free_cost(bare) if bare else None

    def _rule(self, found: Utterance, verdict: Verdict) -> None:
        text = self._bare(verdict.text)
        if verdict.ruling is Ruling.NOTE:
            text = self._note(text, found)
        if verdict.ruling in (Ruling.TAKE, Ruling.NOTE):
            self._attend()
            self._answer(text, found)
            return
        self.missed += 1
        self._refuse(found, verdict)

    def _note(self, text: str, found: Utterance) -> str:
        """Give the cue and the free words after it; marked, since they are a guess and the clip is the truth."""
        cue = text.removesuffix(FREE).strip()
        rest, known = found.recognition.rest, found.recognition.tail
        if known is not None:
            tail = known.split()
        elif rest is not None:
            tail = self._recogniser.free(found.cleaned[int(rest * RATE) * 2 :]).split()
        else:
            words = self._recogniser.free(found.cleaned).split()
            tail = words[len(cue.split()) :]
        return f"{' '.join([cue, *tail]).rstrip(',;:')} {GUESS}"

    def _answer(self, text: str, found: Utterance | None = None) -> None:
        now = self._now()
        try:
            reply = self._turn.take(text, now)
        except Problem as problem:
            self._told(str(problem))
            self._mouth.sound("unclear")
            return
        data = reply.to_json()
        self._out(data)
        done = reply.outcome in ("logged", "answered")
        self.understood += done
        self.missed += not done
        self._mouth.say(self._aloud.of(data), before="logged" if reply.outcome == "logged" else "")
        if found is not None and self._clips is not None:
            kept.keep(self._clips, found.clip, [int(e["id"]) for e in data.get("events", [])], now)

    def _refuse(self, found: Utterance, verdict: Verdict) -> None:
        """Say that it was not understood: one line, and changing nothing."""
        text = UNCLEAR
        if verdict.ruling in (Ruling.NOISY, Ruling.NUMBER):
            text = NOISY if verdict.ruling is Ruling.NOISY else NUMBER
        elif clipped(found.clip) > 0.01:
            text = SHOUTED
        if text is UNCLEAR:
            self._mouth.sound("unclear")
        else:
            self._mouth.say(text, before="unclear")
        self._out({
            "heard": "", "at": self._now().isoformat(timespec="seconds"), "outcome": "unclear", "events": [],
            "answer": None, "reply": text, "cautions": [], "confidence": 0.0,
        })  # fmt: skip

    def _attend(self) -> None:
        self._awake_until = time.monotonic() + ATTENTION

    def _alarm(self, due: Iterable[str]) -> None:
        lines = list(due)
        for line in lines:
            self._told(line)
        self._mouth.say(" ".join(lines), before="alarm")


class Gate:
    """Keeps one's own voice out of one's ears; opens at once when somebody speaks over it."""

    def __init__(self, detector: Detector, mouth: Mouth, segmenter: Segmenter) -> None:
        self._detector = detector
        self._mouth = mouth
        self._segmenter = segmenter
        self._barge = BargeIn()
        self._was = False
        self._until = 0.0
        self._open = 0.0
        self._over: list[bytes] = []

    def shut(self, frame: bytes) -> bool:
        """Whether this frame is (or may be) one's own voice."""
        if time.monotonic() < self._open:  # the rest of the sentence that cut it, whatever the loudspeaker still holds
            return False
        if self._mouth.speaking:
            if not self._was:
                self._was = True
                self._barge.start()
            self._over = [*self._over[-LONGEST_START:], frame]
            probability = self._detector(frame)
            if self._barge.push(frame, probability, self._mouth.loudness, self._segmenter.noise):
                self._mouth.cut()
                self._was, self._until = False, 0.0
                self._open = time.monotonic() + _DRAIN
                return False
            return True
        if self._was:
            self._was, self._until = False, time.monotonic() + _ECHO
            self._over = []
        return time.monotonic() < self._until

    def held(self, frame: bytes) -> Iterator[bytes]:
        """Give the frames to be heard: this one, after a cut also those in which the word began."""
        before, self._over = self._over[-1 - self._barge.began : -1], []
        yield from before
        yield frame


def _ready(spotter: Spotter | None, *, push_to_talk: bool) -> str:
    if push_to_talk:
        return "Listening: press the space bar, speak, and wait for the answer. Ctrl-C ends."
    if spotter is not None:
        return f'Listening: say "{spotter.phrase}", then what you did or want to know. Ctrl-C ends.'
    return "Listening to everything that is said. Ctrl-C ends."
