"""A grammar's network says what the grammar says, and is small."""

import random

import pytest

from assistant.problem import Problem
from assistant.voice.network import compiled
from tests.fixtures import voice_trade


def test_every_sentence_of_the_grammar_is_accepted_and_what_is_none_is_not():
    """The fixture's own reader of the grammar draws the sentences and judges the scrambled ones."""
    network = compiled(voice_trade.GRAMMAR.read_text())
    rng = random.Random(4)
    for text in voice_trade.sentences(400, seed=11):
        assert network.accepts(text)
        words = text.split()
        rng.shuffle(words)
        scrambled = " ".join(words)
        assert network.accepts(scrambled) == voice_trade.is_sentence(scrambled)


def test_shared_rules_are_not_copied():
    """Ten mentions of a rule must not make ten copies of its end."""
    shapes = " | ".join(f"w{i} <n> end" for i in range(10))
    network = compiled(f"#JSGF V1.0; grammar g; public <s> = {shapes}; <n> = a b c | a d c | e;")
    # start, after w, after a, after b or d, after <n>, the end: by hand
    assert len(network.steps) == 6


@pytest.mark.parametrize(
    ("body", "yes", "no"),
    [
        ("a [b] c", ["a c", "a b c"], ["a b", "b c"]),
        ("a (b | c)* d", ["a d", "a b c b d"], ["a b", "b d"]),
        ("a+", ["a", "a a a"], [""]),
        ("/0.5/ a {tag} | /2/ b", ["a", "b"], ["a b"]),
        ("a <NULL> b | c <VOID>", ["a b"], ["c"]),
        ('"a" o\'clock', ["a o'clock"], ["a"]),
    ],
)
def test_forms_of_the_notation(body, yes, no):
    # https://www.w3.org/TR/jsgf/ sections 4.3 to 4.7
    network = compiled(f"#JSGF V1.0;\n// a remark\ngrammar g;\npublic <s> = {body};")
    assert all(network.accepts(t) for t in yes)
    assert not any(network.accepts(t) for t in no)


def test_words_before_may_stand_alone_or_before_a_sentence():
    network = compiled("#JSGF V1.0; grammar g; public <s> = a b;", "hear me")
    assert network.accepts("hear me")
    assert network.accepts("hear me a b")
    assert network.accepts("a b")
    assert not network.accepts("hear a b")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("grammar g; <s> = a;", "no public rule"),
        ("public <s> = <t>;", "no rule <t>"),
        ("public <s> = a <s>;", "contains itself"),
    ],
)
def test_a_faulty_grammar_is_one_line(text, said):
    with pytest.raises(Problem, match=said):
        compiled(text)


def test_paths_through_unsayable_words_are_left_out():
    network = compiled("#JSGF V1.0; grammar g; public <s> = a (b | c);").without({"b"})
    assert network.accepts("a c")
    assert not network.accepts("a b")


def test_a_sentence_that_nothing_can_follow_is_known():
    network = compiled("#JSGF V1.0; public <s> = undo that | sanded the doors [ twice ];")
    assert network.ends_at("undo that")
    assert not network.ends_at("sanded the doors")
    assert network.ends_at("sanded the doors twice")
    assert not network.ends_at("undo")
    assert not network.ends_at("no such words")
