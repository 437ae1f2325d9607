"""Measures hearing, and prints the table that the README quotes.

    python -m tests.bench.voice_accuracy [--sentences N] [--half 0|1] [--voices A,B] [--noises sander:10,clean:0]
        [--parts accuracy,talk,job,wake,latency,overhead] [--digits FOLDER]

Clips are synthesised (``tests/fixtures/voice_clips.py``); every figure goes through the program's own loop,
from frames to a taken
phrase, with two seconds of the noise before each sentence as there would be at work. No person spoke these
sentences: expect people to do
worse. flite's voices share a dictionary with the recogniser and flatter it; espeak's are no natural voices.
``--digits FOLDER`` takes people's recordings named ``7_name_0.wav`` (the Free Spoken Digit Dataset's form).
"""

from __future__ import annotations

import argparse
import random
import resource
import statistics
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from assistant.language.speech import PhraseSource
from assistant.turn import Session
from assistant.voice.activity import silero
from assistant.voice.engines import open_recogniser
from assistant.voice.loop import Loop
from assistant.voice.network import compiled
from assistant.voice.recogniser import RATE, SECOND
from assistant.voice.sound import FRAME_BYTES, FRAME_SECONDS
from assistant.voice.speakers import espeak, letter_to_sound
from assistant.voice.sphinx import decoder, dictionary
from assistant.voice.wake import DEFAULT, Spotter
from tests.fixtures import voice_clips as clips
from tests.fixtures import voice_talk as talk
from tests.fixtures.voice_trade import NUMBERS, TradePhrases, TradeTurn, sentences

CLEAN = ("clean", 0)
NOISES = (CLEAN, ("sander", 20), ("sander", 15), ("sander", 10), ("white", 20), ("white", 10))
LEAD = 2.0
ROOT = Path(__file__).resolve().parents[2]
TESTDATA = Path("/usr/share/pocketsphinx/test/data")
WAKES = (
    "hello shipmate",
    "dab hand",
    "okay dab hand",
    "ahoy there",
    "listen bosun",
    "good morning skipper",
    "right you are",
)


def noisy(clip: bytes, noise: tuple[str, int], lead: float = LEAD) -> bytes:
    """Give a clip at work: noise before, under and after it."""
    clip = clips.padded(clip, lead, 1.5)
    return clip if noise == CLEAN else clips.mixed(clip, *noise)


def cut(clip: bytes) -> Iterator[bytes]:
    """Give a clip's whole frames."""
    return (clip[i : i + FRAME_BYTES] for i in range(0, len(clip) - FRAME_BYTES + 1, FRAME_BYTES))


def plain(text: str) -> list[str]:
    """Give the words that fill a slot or name one: "sanded with" and "sanded to" a grit are the same."""
    idle = ("the", "a", "and", "is", "it", "i", "have")
    return ["to" if w == "with" else w for w in text.split() if w not in idle]


def figures(text: str) -> list[str]:
    """Give a text's number words."""
    return [w for w in text.split() if w in NUMBERS]


class Bench:
    """One recogniser, many clips."""

    def __init__(self, *, suppress: bool = True) -> None:
        self.turn = TradeTurn()
        self.recogniser = open_recogniser(TradePhrases(), wake=DEFAULT)
        self.detector = silero()
        self.suppress = suppress

    def hear(self, clip: bytes) -> tuple[list[str], list[dict[str, Any]]]:
        """Give the phrases taken from a clip, and all replies."""
        self.turn.taken, replies = [], []
        loop = Loop(
            self.turn, self.recogniser, now=lambda: datetime.now(UTC), out=replies.append, told=lambda _line: None,
            suppress=self.suppress, detector=self.detector, wake=DEFAULT,
        )  # fmt: skip
        loop.hear(cut(clip))
        return self.turn.taken, replies

    def accuracy(self, voices: list[str], said: list[str], noises: tuple[tuple[str, int], ...]) -> None:
        """Print right, refused and wrong sentences by voice and noise, and wrong numbers apart."""
        print(
            f"\nsentences: {len(said)}; % right / asked to repeat / taken wrong;"
            " numbers: % of sentences with a wrong number taken"
        )
        for voice in voices:
            row = []
            for noise in noises:
                right = refused = wrong = 0
                numbered = [s for s in said if figures(s)]
                for text in said:
                    taken, _ = self.hear(noisy(clips.say(text, voice), noise))
                    if not taken:
                        refused += 1
                    elif plain(" ".join(taken)) == plain(text):
                        right += 1
                    elif figures(" ".join(taken)) != figures(text):
                        wrong += 1
                n = len(said)
                other = n - right - refused
                row.append(
                    f"{noise[0]} {noise[1]}: {100 * right / n:.0f}/{100 * refused / n:.0f}/{100 * other / n:.0f}"
                    f" numbers {100 * wrong / max(1, len(numbered)):.0f}"
                )
            print(f"{voice:22}", "   ".join(row), flush=True)

    def talk(self, voices: list[str]) -> None:
        """Print what other talk, near misses, people's read prose and noise got taken as."""
        self._taken("other talk", [(f"{v}: {t}", clips.say(t, v)) for v in voices for t in talk.OTHER])
        self._taken("near misses", [(f"{v}: {t}", clips.say(t, v)) for v in voices[:2] for t in talk.NEAR])
        loud = [(f"{v}: {t}", clips.say(t, v)) for v in voices[:1] for t in talk.OTHER]
        self._taken("other talk beside a sander, 15 dB", loud, ("sander", 15))
        prose = [*sorted(TESTDATA.rglob("*.wav")), *sorted(TESTDATA.glob("*.raw"))]
        self._taken("people (pocketsphinx-testdata)", [(p.name, clips.read(p)) for p in prose])
        minutes = 10
        got = 0
        for kind in ("sander", "white"):
            noise = clips.noise(kind, 60.0 * minutes / 2)
            bursts = [0.2 + (i // RATE) % 3 for i in range(0, len(noise), RATE // 4)]  # it comes and goes
            level = [1500 * b for b in bursts for _ in range(RATE // 4)][: len(noise)]
            taken, _ = self.hear(clips.pcm(noise[: len(level)] * level))
            got += len(taken)
        print(f"{minutes} minutes of noise: {got} phrases taken", flush=True)

    def _taken(self, name: str, items: list[tuple[str, bytes]], noise: tuple[str, int] = CLEAN) -> None:
        got, logged = [], 0
        for text, clip in items:
            before = len(self.turn.log)
            taken, _ = self.hear(noisy(clip, noise, 1.0 if noise == CLEAN else LEAD))
            logged += len(self.turn.log) - before
            got += [f"{text} -> {t}" for t in taken]
        print(f"{name}: {len(items)} clips, {len(got)} taken, {logged} logged something", flush=True)
        for line in got[:20]:
            print("   ", line)

    def latency(self, voices: list[str], said: list[str]) -> None:
        """Print the time from the end of speech to the first sound of the reply."""
        engine = espeak()
        waits = []
        for voice in voices:
            for text in said:
                clip = noisy(clips.say(text, voice), CLEAN, 1.0)
                waits += self._waited(clip, engine)
        engine.close()
        waits.sort()
        if waits:
            print(
                f"\nend of speech to start of reply, {len(waits)} sentences: "
                f"median {1000 * statistics.median(waits):.0f} ms, "
                f"nine in ten under {1000 * waits[int(len(waits) * 0.9)]:.0f} ms (plus the loudspeaker's own 30-60 ms)"
            )

    def _waited(self, clip: bytes, engine: Any) -> list[float]:
        """Play a clip at the pace at which a microphone gives it, and time the reply by the clock."""
        end = clips.speech_end(clip)
        began, found = 0.0, []

        def out(data: dict[str, Any]) -> None:
            next(iter(engine.speak(data["reply"])), b"")
            found.append(time.perf_counter() - began - end)

        def paced() -> Iterator[bytes]:
            for i, frame in enumerate(cut(clip), 1):
                time.sleep(max(0.0, began + i * FRAME_SECONDS - time.perf_counter()))
                yield frame

        loop = Loop(
            self.turn, self.recogniser, now=lambda: datetime.now(UTC), out=out, told=lambda _line: None,
            detector=self.detector, wake=DEFAULT,
        )  # fmt: skip
        began = time.perf_counter()
        loop.hear(paced())
        return found[:1]

    def overhead(self, voices: list[str], said: list[str]) -> None:
        """Print the processor time of the whole loop and of the bare recogniser on the same clips."""
        sounds = [noisy(clips.say(t, v), CLEAN, 1.0) for v in voices for t in said]
        seconds = sum(map(len, sounds)) / SECOND
        text, _ = dictionary(compiled(TradePhrases().jsgf()).words)
        bare = decoder(text)
        bare.add_jsgf_string("bare", TradePhrases().jsgf())
        bare.activate_search("bare")
        ours, theirs = [], []
        for _ in range(3):
            start = time.process_time()
            for clip in sounds:
                self.hear(clip)
            ours.append(time.process_time() - start)
            start = time.process_time()
            for clip in sounds:
                bare.start_utt()
                for chunk in clips.chunks(clip):
                    bare.process_raw(chunk)
                bare.end_utt()
            theirs.append(time.process_time() - start)
        a, b = min(ours), min(theirs)
        print(
            f"\nreal-time factor: the loop {a / seconds:.3f}, the bare recogniser {b / seconds:.3f}: "
            f"{a / b:.2f} times; "
            f"memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB"
        )


def job_talk(voices: list[str]) -> None:
    """Print what other talk and near misses do to a real session: the Linnet's job, its own grammar, no wake phrase."""
    now = datetime(2026, 3, 18, 14, 0, tzinfo=UTC)
    with TemporaryDirectory() as folder, closing(Session.open(Path(folder) / "job.sqlite")) as session:
        session.load(ROOT / "examples" / "linnet.toml", now)
        session.take("first coat of varnish on the hatch trim at nine", now)
        ear, detector = open_recogniser(PhraseSource(session.state), wake=DEFAULT), silero()
        for name, texts in (("other talk", talk.OTHER), ("near misses", talk.NEAR)):
            answered, logged, clips_ = 0, 0, 0
            for voice in voices:
                for text in texts:
                    replies: list[dict[str, Any]] = []
                    loop = Loop(
                        session, ear, now=lambda: now, out=replies.append, told=lambda _line: None, detector=detector,
                        wake=DEFAULT,
                    )  # fmt: skip
                    loop.hear(cut(noisy(clips.say(text, voice), CLEAN, 1.0)))
                    clips_ += 1
                    answered += any(r["heard"] for r in replies)
                    logged += any(r["events"] for r in replies)
            print(f"{name} to the job's own session: {clips_} clips, {answered} taken, {logged} logged", flush=True)
        ear.close()


def wakes(voices: list[str], phrases: tuple[str, ...], noises: tuple[tuple[str, int], ...]) -> None:
    """Print how often each wake phrase is spotted, and how often in other talk."""
    print("\nwake phrases: spotted % clean / 20 dB / 10 dB; false in other talk")
    from assistant.voice.suppressor import Suppressor

    others = [clips.say(t, v) for v in voices for t in random.Random(2).sample(talk.OTHER, 20)]
    minutes = sum(map(len, others)) / SECOND / 60
    for phrase in phrases:
        spotter = Spotter(phrase, letter_to_sound)

        def spotted(clip: bytes, ear: Spotter = spotter) -> bool:
            ear.start()
            ear.feed(Suppressor()(clip)[int(1.7 * SECOND) :])
            return ear.finish()

        row = []
        for noise in noises:
            hits = [
                spotted(noisy(clips.say(f"{phrase}{tail}", v), noise))
                for v in voices
                for tail in ("", ", sanded the bulkhead", ", what is next")
            ]
            row.append(f"{100 * sum(hits) / len(hits):.0f}")
        false = sum(spotted(noisy(c, CLEAN)) for c in others)
        print(f"{phrase:22} {' / '.join(row)}; {false} false in {minutes:.1f} minutes", flush=True)


def digits(folder: Path) -> None:
    """Print how many of people's recorded digits are heard right, where only digits can be said."""
    grammar = (
        "#JSGF V1.0;\ngrammar d;\npublic <d> = zero | one | two | three | four | five | six | seven | eight | nine;\n"
    )
    paths = sorted(folder.glob("[0-9]_*.wav"))
    if not paths:
        raise SystemExit(f"no recording named like 7_name_0.wav in {folder}")
    names = ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
    text, _ = dictionary(names)
    ear = decoder(text)
    ear.add_jsgf_string("d", grammar)
    ear.activate_search("d")
    right = total = 0
    for path in paths:
        ear.start_utt()
        ear.process_raw(clips.padded(clips.read(path), 0.2, 0.2), full_utt=True)
        ear.end_utt()
        found = ear.hyp()
        total += 1
        right += bool(found and found.hypstr == names[int(path.name[0])])
    print(f"people's digits: {right} of {total} right")


def main() -> None:
    """Measure what was asked for."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--sentences", type=int, default=134)
    ask.add_argument("--half", type=int, choices=(0, 1), help="every second sentence: limits were chosen on half 0")
    ask.add_argument("--voices", default="")
    ask.add_argument("--parts", default="accuracy,talk,job,wake,latency,overhead")
    ask.add_argument("--noises", default="", help="as sander:10,white:20; clean is clean:0")
    ask.add_argument("--no-suppressor", action="store_true")
    ask.add_argument("--digits", type=Path)
    told = ask.parse_args()
    voices = told.voices.split(",") if told.voices else clips.voices()
    natural = [v for v in voices if not v.startswith("espeak")] or voices
    said = sentences(134)[: told.sentences] if told.half is None else sentences(134)[told.half :: 2][: told.sentences]
    pairs = [n.split(":") for n in told.noises.split(",") if n]
    noises = tuple((kind, int(decibels)) for kind, decibels in pairs) or NOISES
    started = time.perf_counter()
    bench = Bench(suppress=not told.no_suppressor)
    print(f"voices: {', '.join(voices)}; start-up {time.perf_counter() - started:.2f} s")
    if "accuracy" in told.parts:
        bench.accuracy(voices, said, noises)
    if "talk" in told.parts:
        bench.talk(natural)
    if "job" in told.parts:
        job_talk(natural[:2])
    if "wake" in told.parts:
        wakes(natural, WAKES, (CLEAN, ("sander", 20), ("sander", 10)))
    if "latency" in told.parts:
        bench.latency(natural[:2], said[:40])
    if "overhead" in told.parts:
        bench.overhead(natural[:2], said[:20])
    if told.digits:
        digits(told.digits)


if __name__ == "__main__":
    main()
