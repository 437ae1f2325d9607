"""One predicate a clause: which frame it is, and what fills its slots."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from assistant.language.chunks import cut
from assistant.language.clause import Clause
from assistant.language.clauses import Parser
from assistant.language.frames import by_light, by_sense, frames
from assistant.language.items import itemised
from language.build import names

GRAMMARS = Path(__file__).resolve().parents[2] / "grammars"


def best(said: str) -> Clause:
    """The cheapest reading of all the words as one clause."""
    phrase = cut(said, names())
    return Parser(phrase, itemised(phrase)).read(0, len(phrase))[0]


@pytest.mark.parametrize(
    ("said", "frame", "slots"),
    [
        ("varnished the hatch trim at noon", "coat", {"pieces", "when"}),
        ("second coat of varnish on the hatch trim at noon", "coat", {"pieces", "when"}),
        ("sanded the bulkhead with 240", "sand", {"pieces", "grit"}),
        ("rubbed down the bulkhead with two forty", "sand", {"pieces", "grit"}),
        ("masked the galley shelf", "mask", {"pieces"}),
        ("filled the bulkhead with fairing filler", "fill", {"pieces", "products"}),
        ("mixed 60 ml of tread epoxy", "mix", {"amount"}),
    ],
)
def test_a_predicate_makes_the_frame_and_its_words_fill_the_slots(said: str, frame: str, slots: set[str]) -> None:
    clause = best(said)
    assert clause.frame.name == frame
    assert slots <= {part.slot for part in clause.parts}


@pytest.mark.parametrize("word", ["zzgrft", "wombat", "gravy"])
def test_a_word_that_nobody_takes_costs_the_clause_and_is_named(word: str) -> None:
    plain, more = best("sanded the hatch trim"), best(f"sanded the hatch trim {word}")
    assert more.cost > plain.cost
    assert more.frame.name != "sand" or more.unused


def test_readings_come_cheapest_first_and_cover_the_words_they_say() -> None:
    phrase = cut("put the second coat of varnish on the hatch trim at noon", names())
    found = Parser(phrase, itemised(phrase)).read(0, len(phrase))
    assert [c.cost for c in found] == sorted(c.cost for c in found)
    assert {(c.i, c.j) for c in found} == {(0, len(phrase))}


def test_no_two_parts_of_a_clause_take_the_same_word() -> None:
    for said in (
        "put the second coat of varnish on the hatch trim at noon",
        "sanded the hatch trim and the galley shelf with 240 half an hour ago",
        "everything in the fore cabin except the cratch board wants priming by friday",
    ):
        taken = [k for part in best(said).parts for k in range(part.item.i, part.item.j)]
        assert len(taken) == len(set(taken)), said


# -- the grammar's file ----------------------------------------------------------------------------------


def test_every_frame_can_be_reached_by_a_verb_or_is_a_frame_of_no_verb() -> None:
    reached = {f.name for found in (*by_sense().values(), *by_light().values()) for f in found}
    assert set(frames()) - reached <= {"question", "fragment", "remark"}


SENSES = sorted({sense for frame in frames().values() for sense in frame.senses})
DEAD = pytest.mark.xfail(reason="No verb of verbs.toml has this sense, so the frame never sees it.", strict=True)


@pytest.mark.parametrize("sense", [pytest.param(s, marks=DEAD) if s == "move-deadline" else s for s in SENSES])
def test_every_sense_that_a_frame_has_is_one_that_some_verb_has(sense: str) -> None:
    verbs = tomllib.loads((GRAMMARS / "verbs.toml").read_text(encoding="utf-8"))
    assert sense in {table["sense"] for table in (*verbs["verb"], *verbs["compound"])}
