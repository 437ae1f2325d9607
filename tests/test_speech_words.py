"""What a recogniser is told to expect is what the reader can read: the one grammar serves both."""

from __future__ import annotations

import random
import re
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from language.build import linnet, names, unmet

from assistant.dialogue.asked import accident
from assistant.journal.state import Named, State
from assistant.language.chunks import cut
from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.meanings import Remark, Unread
from assistant.language.phrasing import spoken
from assistant.language.reader import Reader
from assistant.language.speech import PhraseSource, spoken_names
from assistant.language.wordlist import wordlist

HEAD = ["#JSGF V1.0;", "grammar dabhand;"]
RULE = re.compile(r"(?:public )?<([a-z]+)> = (.*);")


def grammar(state: State) -> dict[str, str]:
    """The rules of a job's grammar, by name."""
    lines = PhraseSource(state).jsgf().splitlines()
    assert lines[:2] == HEAD
    rules = {}
    for line in lines[2:]:
        found = RULE.fullmatch(line)
        assert found, f"no rule: {line}"
        rules[found[1]] = found[2]
    return rules


RULES = grammar(linnet())


Part = str | tuple[str, list[list["Part"]]]  # a word, a <rule>, or a group: its bracket and its alternatives


def parsed(body: str) -> list[list[Part]]:
    """Take a rule apart: its alternatives, each a list of parts.

    Source: JSpeech Grammar Format, W3C Note of 5 June 2000, sections 4.3 to 4.6.
    """
    tokens = re.findall(r"<[a-z]+>|[()\[\]|]|[^\s()\[\]|<>]+", body)[::-1]

    def alternatives(end: str) -> list[list[Part]]:
        ways: list[list[Part]] = [[]]
        while tokens:
            token = tokens.pop()
            if token == "|":
                ways.append([])
            elif token in "([":
                ways[-1].append((token, alternatives({"(": ")", "[": "]"}[token])))
            elif token in ")]":
                assert token == end, f"not balanced: {body}"
                return ways
            else:
                ways[-1].append(token)
        assert not end, f"not balanced: {body}"
        return ways

    return alternatives("")


class Speaker:
    """Says sentences of a grammar, each by chance."""

    def __init__(self, rules: dict[str, str]) -> None:
        self.rules = {name: parsed(body) for name, body in rules.items()}

    def say(self, seed: int) -> str:
        chance = random.Random(seed)

        def any_of(ways: list[list[Part]]) -> str:
            return " ".join(one(part) for part in chance.choice(ways))

        def one(part: Part) -> str:
            if isinstance(part, tuple):
                return any_of(part[1]) if part[0] == "(" or chance.random() < 0.5 else ""
            return any_of(self.rules[part[1:-1]]) if part.startswith("<") else part

        return " ".join(any_of(self.rules["phrase"]).split())


SPEAKER = Speaker(RULES)


# -- the grammar's form -----------------------------------------------------------------------------------


def test_one_rule_is_public_and_every_rule_it_speaks_of_is_there() -> None:
    text = PhraseSource(linnet()).jsgf()
    assert re.findall(r"^public <([a-z]+)>", text, re.MULTILINE) == ["phrase"]
    for name, body in RULES.items():
        assert set(re.findall(r"<([a-z]+)>", body)) <= set(RULES), name


def test_every_shape_is_in_it_with_slots_that_it_knows() -> None:
    alternatives = {" ".join(a.split()) for a in RULES["phrase"].split(" | ")}
    for kind in spoken():
        for shape in kind.shapes:
            spaced = " ".join(re.sub(r"([\[\]()|])", r" \1 ", shape).split())
            assert spaced in alternatives, shape
            assert set(re.findall(r"<([a-z]+)>", shape)) <= set(RULES)


def test_words_are_as_they_are_spoken() -> None:
    """No figures, capitals or marks: a recogniser's dictionary has none."""
    for word in PhraseSource(linnet()).words():
        assert re.fullmatch(r"[a-z]+(?:'[a-z]+)*", word), word


def test_the_word_list_is_the_words_of_the_grammar_and_of_the_phrases() -> None:
    source = PhraseSource(linnet())
    of_rules = {w for body in RULES.values() for w in re.sub(r"<[a-z]+>|[\[\]()|]", " ", body).split()}
    assert of_rules == source.words()
    assert {w for phrase in source.phrases() for w in phrase.split()} <= source.words()


def test_the_phrases_cover_every_word() -> None:
    source = PhraseSource(linnet())
    heard = {w for phrase in source.phrases() for w in phrase.split()}
    answers = {"yes", "no", "both", "the"}
    assert source.words() - heard <= answers


def test_the_phrases_are_all_different_and_have_no_slot_left() -> None:
    phrases = PhraseSource(linnet()).phrases()
    assert len(phrases) == len(set(phrases)) > 200
    assert not [p for p in phrases if re.search(r"[<>\[\]()|]", p)]


# -- the job's names ---------------------------------------------------------------------------------------


def test_every_name_of_the_job_can_be_heard() -> None:
    pieces = set(RULES["piece"].split(" | "))
    assert pieces >= {"hatch trim", "hatch rail", "port cabin door", "step treads", "treads"}
    assert pieces >= {"trim", "door", "doors"}  # what is shared, and both of them
    assert set(RULES["space"].split(" | ")) == {"fore cabin", "galley", "engine room"}
    assert set(RULES["product"].split(" | ")) >= {"amber varnish", "varnish", "tread epoxy", "epoxy"}


def test_a_new_piece_is_in_the_grammar_at_once() -> None:
    bigger = replace(linnet(), pieces={**linnet().pieces, "locker lid": Named("locker lid", {"also": ["lid"]})})
    assert {"locker lid", "lid"} <= set(grammar(bigger)["piece"].split(" | "))


def test_a_job_without_names_still_has_a_whole_grammar() -> None:
    speaker = Speaker(grammar(State()))
    for seed in range(200):
        assert speaker.say(seed)


@pytest.mark.parametrize(
    ("name", "spoken"),
    [
        ("hatch trim", ["hatch trim"]),
        ("Locker-Lid", ["locker lid"]),
        ("thinner no. 2", ["thinner no"]),
        ("42", []),
        ("", []),
        ("galley", ["galley"]),
    ],
)
def test_a_name_as_it_is_spoken(name: str, spoken: list[str]) -> None:
    assert spoken_names([name]) == spoken


def test_a_name_said_in_two_ways_is_one() -> None:
    assert spoken_names(["hatch trim", "Hatch Trim", "hatch-trim"]) == ["hatch trim"]


# -- and the reader -----------------------------------------------------------------------------------------


def test_the_reader_knows_every_word_that_may_be_heard() -> None:
    heard = {part for word in PhraseSource(linnet()).words() for part in word.split("'")[:1]}
    known = wordlist().known | CLOCK_WORDS | names().words | {"o", "p", "m", "minus"}
    assert heard - known == set()


def test_the_words_in_any_order_hold_the_grammars_the_jobs_and_the_readers() -> None:
    source = PhraseSource(linnet())
    held = source.vocabulary()
    assert held >= source.words()
    assert held >= {"keyed", "thicknessed", "unhung", "midnight", "fiddle"} & (wordlist().known | CLOCK_WORDS)
    assert not [word for word in held if not re.fullmatch(r"[^\W\d_]+(?:'[^\W\d_]+)*'?|'[^\W\d_]+", word)]


READER = Reader(names())


@given(st.integers(0, 10**9))
@settings(max_examples=400, deadline=None)
def test_any_sentence_of_the_grammar_is_read_and_no_word_of_it_lost(seed: int) -> None:
    said = SPEAKER.say(seed)
    if unmet(said) or accident(cut(said, names())):
        return  # what to do about it is said at once, whatever else was
    found = READER.read(said)
    for one in found.meanings:
        assert not isinstance(one, Unread | Remark), f"{said!r} is not read: {found.explanation}"
        assert not one.unused, f"{said!r} leaves {one.unused}"
