"""What a clause means: the slots of its frame, typed, names still open where they were ambiguous."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any

from assistant.language.names import Name
from assistant.language.reading import Reading
from assistant.language.spans import Span, Tagged
from assistant.language.when import Clock, When
from assistant.quantity import Amount


@dataclass(slots=True)
class Meaning:
    """One clause, understood.

    ``pieces``, ``spaces`` and ``products`` are names with their options; ``parts`` are component names
    ("hardener") with the index of the amount they stand beside, or None.
    """

    frame: str
    mood: str
    tags: frozenset[str]
    said: frozenset[str] = frozenset()  # tags of the spans alone; ``tags`` has also what the same words could be
    pieces: list[Name] = field(default_factory=list)
    spaces: list[Name] = field(default_factory=list)
    products: list[Name] = field(default_factory=list)
    amounts: list[Amount] = field(default_factory=list)
    parts: list[tuple[str, int | None]] = field(default_factory=list)
    numbers: list[float] = field(default_factory=list)
    ratio: tuple[float, ...] | None = None
    ordinal: int | None = None
    count: int | None = None
    grit: int | None = None
    percent: Amount | None = None
    temperature: Amount | None = None
    surface: Amount | None = None  # what stands after "the surface is", no air
    area: Amount | None = None
    when: When = field(default_factory=When)
    until: When | None = None
    range: tuple[When, When] | None = None
    duration: timedelta | None = None
    clocks: list[Clock] = field(default_factory=list)
    other: dict[str, Any] = field(default_factory=dict)  # what the same words could also be: tag -> value
    stages: list[str] = field(default_factory=list)
    values: dict[str, list[str]] = field(default_factory=dict)  # tag -> values said
    left: list[str] = field(default_factory=list)  # words nobody explained
    unknown: str | None = None  # those of them that stand where a name would
    before_unknown: str = ""  # the word before that
    text: str = ""  # the clause as said
    doubt: float = 0.0
    unexplained: float = 0.0
    words: int = 1
    inherited: bool = False

    def has(self, *tags: str) -> bool:
        """Whether any of ``tags`` was said."""
        return any(t in self.tags for t in tags)

    @property
    def confidence(self) -> float:
        """0 to 1: how sure the reading is."""
        share = self.unexplained / max(self.words, 1)
        return round(max(0.05, (1 - 0.25 * min(self.doubt, 2.0)) * (1 - share)), 2)


def meaning(tagged: Tagged, reading: Reading) -> Meaning:
    """Turn one reading into its meaning."""
    spoken = tagged.tokens[reading.start : reading.end]
    out = Meaning(
        frame=reading.frame.name, mood=reading.frame.mood, tags=reading.tags,
        said=frozenset(s.tag for s in reading.spans),
        left=[tagged.words[i] for i in reading.left], doubt=reading.cost.doubt,
        unexplained=reading.cost.unexplained, inherited=reading.inherited,
        words=max(1, sum(t.kind != "mark" for t in spoken)),
        text=tagged.phrase[spoken[0].start : spoken[-1].end].strip(" ,;.") if spoken else "",
    )  # fmt: skip
    out.surface, reading = _surface(reading)
    spans = _with_units(reading.spans) if reading.frame.name in ("mix", "mixture") else reading.spans
    for span in spans:
        _put(out, span, spans)
        for also in tagged.spans[span.i]:
            if also.j == span.j and also.tag != span.tag:
                out.other.setdefault(also.tag, also.value)
    _unknown(out, tagged, reading)
    return out


def _surface(reading: Reading) -> tuple[Amount | None, Reading]:
    """Take the temperature said of a surface out of a reading: it is not the air's."""
    if reading.frame.name not in ("climate", "dew"):
        return None, reading
    told = next((s for s in reading.spans if s.tag == "air.surface"), None)
    degrees = next((s for s in reading.spans if told and s.i >= told.j and s.tag in ("temp", "number")), None)
    if degrees is None:
        return None, reading
    value = degrees.value if degrees.tag == "temp" else Amount(float(degrees.value), "degC")
    return value, replace(reading, spans=tuple(s for s in reading.spans if s is not degrees))


def _with_units(spans: tuple[Span, ...]) -> tuple[Span, ...]:
    """Give a bare number before a part the unit that was said, else millilitres: "eighty resin, forty hardener"."""
    unit = next((s.value.unit for s in spans if s.tag == "amount"), "ml")
    starts = {s.i for s in spans if s.tag.startswith("part.")}
    ends = {s.j for s in spans if s.tag == "amount"}

    def beside(span: Span) -> bool:
        part = next((i for i in (span.j, span.j + 1) if i in starts), None)
        return part is not None and not any(span.j <= end <= part for end in ends)

    return tuple(
        s._replace(tag="amount", value=Amount(float(s.value), unit)) if s.tag == "number" and beside(s) else s
        for s in spans
    )


def _put(out: Meaning, span: Span, spans: tuple[Span, ...]) -> None:
    tag, value = span.tag, span.value
    lists: dict[str, list[Any]] = {
        "piece": out.pieces, "space": out.spaces, "product": out.products, "amount": out.amounts, "number": out.numbers,
    }  # fmt: skip
    if tag in lists:
        lists[tag].append(value)
    elif tag in ("ordinal", "nth"):
        out.ordinal = value
    elif tag in ("count", "grit", "percent", "ratio", "area", "range", "until", "duration"):
        setattr(out, tag, value)
    elif tag == "temp":
        out.temperature = value
    elif tag in ("clock", "day", "ago", "ahead"):
        if tag == "clock":
            out.clocks.append(value)
        out.when = When(**{**{k: getattr(out.when, k) for k in ("clock", "day", "ago", "ahead")}, tag: value})
    elif tag.startswith("part."):
        out.parts.append((str(value), _amount_beside(span, spans)))
    elif tag.startswith("stage."):
        out.stages.append(tag[6:])
    family, _, name = tag.partition(".")
    if name:
        out.values.setdefault(tag, []).append(str(value))
        out.values.setdefault(family, []).append(name)


def _amount_beside(part: Span, spans: tuple[Span, ...]) -> int | None:
    # "60 ml of resin", "resin 60 ml": the nearest amount, one before first
    amounts = [s for s in spans if s.tag == "amount"]
    # "60 ml of tread epoxy resin": the product between them is part of the part's name
    named = sum(s.j - s.i for s in spans if s.tag == "product" and s.j == part.i)
    before = [k for k, s in enumerate(amounts) if 0 <= part.i - named - s.j <= 2]
    return before[-1] if before else None


_BEFORE_NAME = frozenset(["on", "to", "the", "of", "in", "with", "a", "an", "my", "called", "for", "at", "and"])


def _unknown(out: Meaning, tagged: Tagged, reading: Reading) -> None:
    """Find the run of unexplained words that stands where a name would."""
    runs: list[list[int]] = []
    for i in reading.left:
        if tagged.tokens[i].kind != "word":
            continue
        if runs and runs[-1][-1] == i - 1:
            runs[-1].append(i)
        else:
            runs.append([i])
    if not runs:
        return
    runs.sort(key=lambda r: (tagged.words[r[0] - 1] not in _BEFORE_NAME if r[0] else True, -len(r)))
    run = runs[0]
    words = [tagged.tokens[i].text for i in run]
    # "the wheelhouse door" where only "door" is known: the known tail belongs to the unknown name
    tail = next((s for s in reading.spans if s.tag == "piece" and s.i == run[-1] + 1 and not s.value.whole), None)
    if tail is not None:
        out.pieces.remove(tail.value)
        words += tagged.words[tail.i : tail.j]
    out.unknown = " ".join(words)
    k = run[0] - 1
    while k >= 0 and tagged.words[k] in ("the", "a", "an", "my"):
        k -= 1
    out.before_unknown = tagged.words[k] if k >= 0 else ""
