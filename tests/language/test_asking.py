"""Questions: words in, the unsettled question out. What is meant by each is the trade's and everyday use of words
(common practice, no source)."""

from __future__ import annotations

import statistics
import time

import pytest

from assistant.language.asking import Asked, ask
from assistant.language.asking.table import rows
from assistant.language.chunks import cut
from assistant.language.meanings import Act
from assistant.language.names import Gazetteer, Known
from assistant.language.query import Detail, Property, Shape, Stage, Unknown
from assistant.quantity import Amount, celsius, ml

NAMES = Gazetteer(
    [
        Known("piece", "hatch trim"),
        Known("piece", "bulkhead"),
        Known("piece", "port cabin door"),
        Known("piece", "starboard cabin door"),
        Known("piece", "step treads"),
        Known("space", "galley"),
        Known("space", "fore cabin"),
        Known("product", "amber varnish", ("varnish",)),
        Known("product", "grey primer", ("primer",)),
        Known("product", "gloss topcoat", ("gloss",)),
        Known("product", "tread epoxy", ("epoxy",)),
    ]
)

READ = [
    ("when can I sand the hatch trim", Property.READY, Shape.WHEN, Stage.SAND),
    ("how long till I can flat the bulkhead back", Property.READY, Shape.HOW_LONG, Stage.SAND),
    ("could the port door take another coat tonight", Property.READY, Shape.WHETHER, Stage.OVERCOAT),
    ("is the hatch trim still tacky", Property.READY, Shape.WHETHER, Stage.TOUCH),
    ("when will the step treads be fully cured", Property.READY, Shape.WHEN, Stage.CURED),
    ("which pieces can be sanded", Property.READY, Shape.WHICH, Stage.SAND),
    ("which one will be dry first", Property.READY, Shape.FIRST, Stage.TOUCH),
    ("how long can I leave the hatch trim before it needs keying", Property.WINDOW, Shape.HOW_LONG, None),
    ("can I make dust in the galley at six", Property.DUST, Shape.WHETHER, None),
    ("when can the tape come off the bulkhead", Property.TAPE, Shape.WHEN, None),
    ("how much hardener for 60 ml of resin", Property.MIX, Shape.HOW_MUCH, None),
    ("how much thinner in half a litre of gloss", Property.THIN, Shape.HOW_MUCH, None),
    ("how much longer have I got with this pot", Property.POT, Shape.HOW_LONG, None),
    ("is there any primer left", Property.STOCK, Shape.WHETHER, None),
    ("do I need to buy more gloss", Property.BUY, Shape.WHETHER, None),
    ("how much gloss for two coats on both doors", Property.COVER, Shape.HOW_MUCH, None),
    ("is it too damp to varnish in the fore cabin", Property.DEW, Shape.WHETHER, None),
    ("what should I get on with", Property.NEXT, Shape.WHAT, None),
    ("will I make the deadline", Property.FINISH, Shape.WHETHER, None),
    ("how many coats has the bulkhead got", Property.COATS, Shape.HOW_MANY, None),
    ("can gloss go over the primer", Property.COMPAT, Shape.WHETHER, None),
    ("how many fluid ounces is 300 ml", Property.CONVERT, Shape.HOW_MANY, None),
]  # fmt: skip


def read(text: str, *, last: bool = False) -> Asked:
    found = ask(cut(text, NAMES), last=last)
    assert found is not None, text
    return found


@pytest.mark.parametrize(("text", "what", "shape", "stage"), READ)
def test_property_shape_and_stage(text: str, what: Property, shape: Shape, stage: Stage | None) -> None:
    asked = read(text)
    assert (asked.what, asked.shape, asked.stage) == (what, shape, stage)


def test_a_condition_is_no_part_of_the_question_itself() -> None:
    asked = read("if I got the galley up to 20 degrees when could I sand the bulkhead")
    assert asked.what is Property.READY
    assert asked.suppose is not None and asked.suppose.temperature == celsius(20)
    assert [g.names[0].options for g in asked.groups] == [("bulkhead",)]


def test_a_time_said_is_kept() -> None:
    for text in ("can I sand the hatch trim at six", "can I sand the hatch trim before six", "can I sand it tomorrow"):
        assert len(read(text).times) == 1, text


def test_what_is_solved_for_is_named() -> None:
    asked = read("how warm does it need to be to recoat the hatch trim by ten tonight")
    assert (asked.shape, asked.unknown) == (Shape.NEEDED, Unknown.TEMPERATURE)
    batch = read("what's the most epoxy I can mix and still have 20 minutes")
    assert (batch.unknown, batch.goal) == (Unknown.AMOUNT, Amount(20.0, "min"))


def test_parts_of_a_mix_have_their_roles() -> None:
    asked = read("how much resin for 25 ml of hardener")
    assert (asked.amount, asked.part, asked.wanted) == (ml(25), "hardener", "resin")


def test_the_journal_is_asked_by_act_and_detail() -> None:
    asked = read("what grit did I use on the bulkhead")
    assert (asked.what, asked.act, asked.detail) == (Property.ENTRY, Act.SAND, Detail.GRIT)
    before = read("did I sand the hatch trim before the second coat")
    assert (before.act, before.since, before.ordinal) == (Act.SAND, Act.COAT, 2)
    between = read("how long was it between the first and second coats on the hatch trim")
    assert (between.act, between.detail) == (Act.COAT, Detail.INTERVAL)


@pytest.mark.parametrize(
    "text",
    [
        "the bulkhead?",
        "and touch?",
        "tomorrow?",
        "at eighteen degrees?",
        "for double that",
        "how long then",
        "by weight?",
    ],
)
def test_follow_ups_ask_nothing_without_a_question_before(text: str) -> None:
    assert read(text, last=True).fragment


def test_why_asks_for_the_reasons_of_the_last_answer() -> None:
    for text in ("why", "why not", "are you sure", "how do you work that out"):
        assert read(text, last=True).again, text


@pytest.mark.parametrize("last", [False, True])
@pytest.mark.parametrize(
    "text",
    [
        "first coat of varnish on the hatch trim at nine", "sanded the bulkhead with 240", "masked the port door",
        "bought a litre of gloss yesterday", "mixed 60 ml of epoxy at two", "could you log that I primed the bulkhead",
        "don't let me forget to pull the tape on the bulkhead", "gave the treads a coat of primer, used 150 ml",
    ],
)  # fmt: skip
def test_what_is_told_or_ordered_is_no_question(text: str, last: bool) -> None:
    assert ask(cut(text, NAMES), last=last) is None


def test_every_row_of_the_table_names_cues_that_exist() -> None:
    forms = ("has.", "ask.", "mood.", "tense.", "word.", "do.", "noun.", "is.", "fn.", "of.")
    for row in rows():
        for name in (*(n for names in row.say for n in names), *row.with_, *row.bars):
            assert name.startswith(forms), name


def test_reading_a_question_takes_under_five_milliseconds() -> None:
    phrases = [cut(text, NAMES) for text, *_ in READ]
    took = []
    for phrase in phrases * 3:
        start = time.perf_counter()
        ask(phrase, last=True)
        took.append(time.perf_counter() - start)
    assert statistics.median(took) < 0.005
