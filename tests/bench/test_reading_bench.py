"""How long one phrase takes to be read, beside two open readers of spoken commands given the same words.

    pip install -e '.[test,bench]'
    pytest tests/bench/test_reading_bench.py --benchmark-enable

prints one table. The readers take turns on every phrase, so what else the machine does falls on all alike. Without
``--benchmark-enable`` each phrase is read once.

A phrase is read here from its text to its typed meaning (tag, read, meaning), times and amounts resolved. The other two
are given the same job and the same words by rule, from the same files, and never more than they can use:

* the pieces, spaces and labels of ``examples/linnet.toml`` with their other names. ``hassil`` has them as slot lists;
  ``gazetteer-matcher`` as the entities, areas and floors of a home, the names that it also finds misspelt;
* every shape of ``grammars/frames.toml``. To ``hassil`` a shape is a sentence template; ``gazetteer-matcher`` takes a
  shape's opening words for an action and its slots for a slot combination;
* every plain verb of work that ``grammars/words.toml`` has, for the frame that the verb alone is enough for, and its
  filler words as the words to skip.

Of the trade's other words (faults, tins, gear, the talk itself: this reader has 4,400 entries in all) they get what
stands in the shapes, and nothing for misspelt trade words or corrections. ``hassil`` gets clock times as a list of 134;
``gazetteer-matcher`` has no notion of them, so it may leave three words unexplained. What is left out makes them
faster, not slower. Each is asked in its fastest way, for its first answer. One that is not installed is left out.
"""

from __future__ import annotations

import random
import re
import statistics
import time
from collections.abc import Callable, Sequence
from datetime import datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NamedTuple
from zoneinfo import ZoneInfo

import pytest

from assistant import data
from assistant.cli import script
from assistant.journal.state import Named, State
from assistant.language import vocabulary
from assistant.language.frames import Frame, frames
from assistant.language.meaning import Meaning, meaning
from assistant.language.phrasing import expand
from assistant.language.reading import read
from assistant.language.spans import tag
from assistant.library.catalogue import Library
from assistant.turn import Session

LONDON = ZoneInfo("Europe/London")
EXAMPLES = Path(__file__).parents[2] / "examples"
#: Phrases that all three must read alike: the piece is the same, or the comparison is of nothing.
SURE = {
    "sanded the bulkhead": "bulkhead",
    "flatted the hatch trim with 320": "hatch trim",
    "third coat of varnish on the cratch board": "cratch board",
    "when can I sand the companionway trim": "companionway trim",
    "bonded the treads with tread epoxy": "step treads",
}
SLOT = re.compile(r"<([a-z]+)>")


# --- the job and its words -------------------------------------------------------------------------------


class Job(NamedTuple):
    """The job, and what is said of it in a week."""

    state: State
    phrases: list[str]


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Job:
    """Give the job of the examples, and every phrase of its week."""
    with Session.open(tmp_path_factory.mktemp("reading") / "linnet.sqlite") as session:
        session.load(EXAMPLES / "linnet.toml", datetime(2026, 3, 9, 8, tzinfo=LONDON))
        return Job(session.state, [phrase for _, phrase in script(str(EXAMPLES / "linnet-week.txt"), LONDON)])


def words(family: str) -> dict[str, list[str]]:
    """Give one family of ``grammars/words.toml`` by tag, without the entries that are patterns."""
    table = data.read_toml(data.root() / "grammars" / "words.toml")[family]
    out: dict[str, list[str]] = {}
    for key, listed in table.items():
        out.setdefault(key.partition(":")[0], []).extend(w for w in listed if not set("([|?!,'") & set(w))
    return out


def fillers() -> list[str]:
    return [w for listed in words("fill").values() for w in listed]


def verbs_of(frame: Frame) -> list[str]:
    """Give the verbs that are enough by themselves for a frame of work."""
    alone = {need[0][4:] for need in frame.needs if len(need) == 1 and need[0].startswith("act.")}
    return [w for tagged, listed in words("act").items() if tagged in alone and frame.mood == "log" for w in listed]


# --- this reader -----------------------------------------------------------------------------------------


def ours(state: State) -> Callable[[str], list[Meaning]]:
    names = vocabulary.gazetteer(state, Library(state.labels))

    def reader(phrase: str) -> list[Meaning]:
        tagged = tag(phrase, names)
        return [meaning(tagged, r) for r in read(tagged)]

    return reader


def our_piece(meanings: list[Meaning]) -> str | None:
    return next((name.options[0] for m in meanings for name in m.pieces), None)


def our_read(meanings: list[Meaning]) -> bool:
    return bool(meanings) and not any(m.left for m in meanings)


# --- gazetteer-matcher -----------------------------------------------------------------------------------

#: Which of its slots holds what. A product goes by the floor's slot: a name that is neither piece nor space.
AS = {"piece": "name", "space": "area", "product": "floor", "percent": "percentage", "temperature": "temperature"}
#: Its own settings as it ships them, but for the words it may leave: it has none for times, grits and ordinals.
SETTINGS: dict[str, Any] = {
    "language": "en",
    "numbers": {"max_cardinal": 10000, "max_ordinal": 100, "joiners": ["and"], "negative_signs": ["minus"]},
    "fuzzy": {
        "algorithm": "damerau", "action_cutoff": 0.82, "action_ambiguity_margin": 0.06, "name_cutoff": 0.76,
        "area_cutoff": 0.78, "floor_cutoff": 0.78, "max_extra_tokens": 1, "limit_per_window": 3,
    },
    "acceptance": {"max_unexplained_important_tokens": 3, "max_unexplained_unimportant_tokens": 3},
    "conjunctions": {"and": "coordinate", "and then": "sequence", "then": "sequence"},
    "units": {
        "percent": ["percent", "%"], "temperature": ["degrees", "degree"], "hours": ["hour", "hours"],
        "minutes": ["minute", "minutes"],
    },
}  # fmt: skip


def gazetteer(state: State) -> Callable[[str], Any]:
    from gazetteer_matcher import GazetteerMatcher

    def named(shelf: dict[str, Named], **more: str) -> dict[str, Any]:
        return {n.name: {"name": n.name, "aliases": list(n.also), **more} for n in shelf.values()}

    matcher = GazetteerMatcher(
        vocabulary={**SETTINGS, "skip_phrases": fillers(), "actions": _actions()},
        home={
            "entities": named(state.pieces, domain="piece"),
            "areas": named(state.spaces),
            "floors": named(state.labels),
        },
        intents={frame.name: {"slot_combinations": _combinations(frame)} for frame in frames() if frame.shapes},
    )
    reader: Callable[[str], Any] = matcher.interpret
    return reader


def _actions() -> dict[str, Any]:
    out = {}
    for frame in frames():
        openings = {text.partition("<")[0] for shape in frame.shapes for text in expand(shape)}
        openings = {re.sub(r"( (the|a|of|for|with|on))*$", "", text.strip()) for text in openings}
        phrases = sorted(({*openings, *verbs_of(frame)}) - {"", "it", "and", "no"})
        if phrases:
            out[frame.name] = {"phrases": phrases, "intents": [frame.name]}
    return out


def _combinations(frame: Frame) -> dict[str, Any]:
    found = {
        tuple(sorted({AS[s] for s in SLOT.findall(text) if s in AS}))
        for shape in frame.shapes
        for text in expand(shape)
    }
    return {"_".join(slots) or "alone": {"slots": list(slots)} for slots in sorted(found)}


def gazetteer_piece(result: Any) -> str | None:
    return next((str(f.slots["name"]) for f in result.frames if "name" in f.slots), None)


# --- hassil ----------------------------------------------------------------------------------------------

HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
PAST = ("", "half past", "half", "quarter past", "quarter to", "ten past", "ten to", "twenty past", "twenty to",
        "five past", "five to")  # fmt: skip
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "1st", "2nd", "3rd", "4th", "5th", "6th")
DAYS = ("today", "yesterday", "monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
RULES = {
    "time": "(at {clock}|{n} minutes ago|half an hour ago|an hour ago|[last night|yesterday] at {clock})",
    "amount": "{n} (ml|mil|millilitres|litres|grams)",
    "percent": "{n} (percent|%)",
    "temperature": "{degrees} degrees",
}


def hassil(state: State) -> Callable[[str], Any]:
    from hassil import Intents, recognize

    lists: dict[str, Any] = {
        "ordinal": {"values": ORDINALS},
        "clock": {"values": [*(f"{past} {hour}".strip() for hour in HOURS for past in PAST), "noon", "midnight"]},
        "day": {"values": DAYS},
        "fault": {"values": [w for listed in words("fault").values() for w in listed]},
        "count": {"range": {"from": 1, "to": 20}},
        "grit": {"range": {"from": 24, "to": 2500}},
        "n": {"range": {"from": 1, "to": 2000}},
        "degrees": {"range": {"from": -20, "to": 60}},
    }
    for slot, shelf in (("piece", state.pieces), ("space", state.spaces), ("product", state.labels)):
        lists[slot] = {"values": [{"in": w, "out": n.name} for n in shelf.values() for w in (n.name, *n.also)]}
    rules = RULES | {f.name: "(" + "|".join(verbs_of(f)) + ")" for f in frames() if verbs_of(f)}
    sentences = {f.name: {"data": [{"sentences": _sentences(f, lists)}]} for f in frames() if f.shapes}
    intents = Intents.from_dict(
        {"language": "en", "intents": sentences, "lists": lists, "expansion_rules": rules, "skip_words": fillers()}
    )
    return lambda phrase: recognize(phrase, intents)


def _sentences(frame: Frame, lists: dict[str, Any]) -> list[str]:
    """Give a frame's shapes as templates, a verb of work in them standing for all that mean the same."""
    verbs = verbs_of(frame)
    out = []
    for shape in frame.shapes:
        opening = re.match(r"(?:\[i\] )?([a-z ]+?)(?= ?[\[<]|$)", shape)
        text = f"[i] <{frame.name}>" + shape[opening.end() :] if opening and opening[1] in verbs else shape
        text = SLOT.sub(lambda s: f"{{{s[1]}}}" if s[1] in lists else s[0], text)
        out.append(re.sub(r"(?:\[the\] |the )?\{(piece|space|product)\}", r"[the] {\1}", text))
    return list(dict.fromkeys(out))


def hassil_piece(result: Any) -> str | None:
    return str(result.entities["piece"].value) if result and "piece" in result.entities else None


# --- measuring -------------------------------------------------------------------------------------------


class Reader(NamedTuple):
    """One reader: how it reads, whether a result is a reading, the piece in it, and how many phrases it must read."""

    name: str
    reads: Callable[[str], Any]
    read: Callable[[Any], bool]
    piece: Callable[[Any], str | None]
    least: float


@pytest.fixture(scope="module")
def readers(job: Job) -> list[Reader]:
    """Give this reader and those of the others that are installed (``pip install -e '.[bench]'``)."""
    out = [Reader("dabhand", ours(job.state), our_read, our_piece, 0.8)]
    if find_spec("gazetteer_matcher"):
        reader = gazetteer(job.state)
        out.append(Reader("gazetteer-matcher", reader, lambda r: bool(r.accepted), gazetteer_piece, 0.5))
    if find_spec("hassil"):
        out.append(Reader("hassil", hassil(job.state), lambda r: r is not None, hassil_piece, 0.35))
    return out


def in_turn(readers: Sequence[Reader], phrases: Sequence[str], times: dict[tuple[str, str], list[float]]) -> None:
    """Have each reader read each phrase once, in an order that changes from phrase to phrase."""
    chance = random.Random(len(times))
    for phrase in phrases:
        for reader in chance.sample(readers, len(readers)):
            start = time.perf_counter()
            reader.reads(phrase)
            times.setdefault((reader.name, phrase), []).append((time.perf_counter() - start) * 1e3)


def figures(times: dict[tuple[str, str], list[float]], name: str, phrases: Sequence[str]) -> tuple[float, float]:
    """Give the median and the 95th percentile over the phrases, each at its own median, in ms."""
    each = sorted(statistics.median(times[name, p]) for p in phrases)
    return statistics.median(each), each[int(0.95 * (len(each) - 1))]


@pytest.mark.benchmark(group="read each phrase of the week once, all three readers")
def test_reading_beside_two_other_readers(
    benchmark: Any, job: Job, readers: list[Reader], capsys: pytest.CaptureFixture[str]
) -> None:
    """One phrase takes this reader well under 1.5 ms, and less than either of the others."""
    measured = not benchmark.disabled
    times: dict[tuple[str, str], list[float]] = {}
    in_turn(readers, job.phrases, {})  # whatever is built at first use is built
    benchmark.pedantic(in_turn, (readers, job.phrases, times), rounds=20 if measured else 1)
    able = {r.name: [p for p in job.phrases if r.read(r.reads(p))] for r in readers}
    for reader in readers:
        assert len(able[reader.name]) > reader.least * len(job.phrases), reader.name
    if not measured:
        return
    lines = [f"{'':20}{'median':>9}{'p95':>9}{'read':>11}{'median of ours':>18}{'ratio':>8}   (the phrases it reads)"]
    for reader in readers:
        median, late = figures(times, reader.name, job.phrases)
        on_its_own = figures(times, reader.name, able[reader.name])[0]
        beside = figures(times, "dabhand", able[reader.name])[0]
        benchmark.extra_info[reader.name] = {"median_ms": median, "p95_ms": late, "read": len(able[reader.name])}
        share = f"{len(able[reader.name])} of {len(job.phrases)}"
        shown = f"{reader.name:20}{median:6.2f} ms{late:6.2f} ms{share:>11}"
        lines.append(f"{shown}{beside:15.2f} ms{beside / on_its_own:8.2f}")
    with capsys.disabled():
        print("", *lines, sep="\n")


@pytest.mark.parametrize(("phrase", "piece"), SURE.items())
def test_the_readers_read_the_same_job(readers: list[Reader], phrase: str, piece: str) -> None:
    """Each of the three finds the piece, so that what is compared is the same work."""
    assert {r.name: r.piece(r.reads(phrase)) for r in readers} == {r.name: piece for r in readers}
