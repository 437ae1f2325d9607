"""Which reading wins: what is unexplained stands before what is supposed, and a turned statement is none."""

from __future__ import annotations

import pytest
from assistant.language.lexicon import lexicon
from assistant.language.reading import Cost, explain, read
from assistant.language.repair import repair, untagged
from hypothesis import given, settings
from hypothesis import strategies as st

from language.build import frames_of, left, reading, tagged


def cost(phrase: str) -> Cost:
    """The summed cost of a phrase's readings."""
    found = [r.cost for r in reading(phrase)]
    return Cost(*(sum(part) for part in zip(*found, strict=True)))


@pytest.mark.parametrize(
    ("said", "frames"),
    [
        ("second coat on the hatch trim at noon", ["coat"]),
        ("sanded the doors with two forty and put the third coat on at quarter to ten", ["sand", "coat"]),
        ("stripped the hatch trim, sanded the bulkhead and masked the shelf", ["strip", "sand", "mask"]),
        ("when can I sand the hatch trim", ["ready"]),
        ("it's fourteen degrees in the fore cabin", ["climate"]),
        ("the sealer has gone hard in the tin", ["tin"]),
        ("there's a run in the undercoat on the bulkhead", ["fault"]),
        ("how much hardener for 60 ml", ["mixture"]),
        ("can I make dust in the galley", ["dust"]),
        ("is it too damp to varnish", ["dew"]),
        ("what have I got on", ["status"]),
        ("read me today", ["diary"]),
        ("why", ["why"]),
        ("scratch that", ["undo"]),
    ],
)
def test_the_frame_of_a_phrase(said: str, frames: list[str]) -> None:
    assert frames_of(said) == frames
    assert left(said) == []


ORDERS = [
    "second coat of varnish on the hatch trim at noon",
    "at noon second coat of varnish on the hatch trim",
    "on the hatch trim at noon, second coat of varnish",
    "hatch trim, second coat of varnish, noon",
]


@pytest.mark.parametrize("said", ORDERS)
def test_the_order_of_a_phrase_does_not_matter(said: str) -> None:
    (one,) = reading(said)
    assert one.frame.name == "coat"
    assert {s.tag for s in one.spans} >= {"ordinal", "product", "piece", "clock"}


# -- unexplained before doubt ----------------------------------------------------------------------------


def test_the_cost_is_compared_field_by_field_from_the_left() -> None:
    whole_but_doubtful = Cost(0, 0, 5.0, 9, 9, 9)
    sure_but_one_word_short = Cost(0, 1, 0.0, 0, 0, 0)
    turned_round = Cost(1, 0, 0.0, 0, 0, 0)
    assert whole_but_doubtful < sure_but_one_word_short < turned_round


@pytest.mark.parametrize("stray", ["gravy", "wheelbarrow", "zzgrft", "wombat"])
@pytest.mark.parametrize(
    "said",
    ["secnd coat of varnsh on the hach trim at noon", "sandd the bulkhed with two forty", "primd the companonway trim"],
)
def test_a_good_likeness_never_excuses_what_is_left_over(said: str, stray: str) -> None:
    """The misspelt phrase is read whole, at a doubt; with a word that means nothing it is that word short."""
    assert cost(said).unexplained == 0
    assert cost(said).doubt > 0
    with_stray = f"{said} {stray}"
    assert stray in left(with_stray)
    assert cost(with_stray).unexplained >= 1


def test_a_number_that_nothing_explains_weighs_more_than_a_word() -> None:
    plain = cost("stripped the bulkhead gravy").unexplained
    number = cost("stripped the bulkhead 47").unexplained
    assert number > plain >= 1


def test_the_right_spelling_costs_less_than_a_wrong_one() -> None:
    assert cost("sanded the hatch trim") < cost("sandd the hatch trim") < cost("sandd the hach trim")


# -- what turns a statement round ------------------------------------------------------------------------

TURNED = [
    "will sand the bulkhead",
    "didn't sand the bulkhead",
    "if I sanded the bulkhead",
    "should I have sanded the bulkhead",
    "nearly sanded the bulkhead",
    "forgot to sand the bulkhead",
    "can I sand the bulkhead",
    "sanded the bulkhead?",
    "going to sand the bulkhead",
    "never sanded the bulkhead",
    "when did I sand the bulkhead",
    "have I sanded the bulkhead",
    "must sand the bulkhead",
    "what if I sand the bulkhead",
    "do I need to sand the bulkhead",
    "has the bulkhead been sanded",
]


@pytest.mark.parametrize("said", TURNED)
def test_a_question_a_denial_or_an_intention_is_no_report_of_sanding(said: str) -> None:
    found = reading(said)
    assert not any(r.frame.name == "sand" and not r.broken for r in found)


# -- talk by the way ------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "frames"),
    [
        ("sanded the hatch trim, fingers crossed it doesn't rain", ["sand"]),
        ("sanded the bulkhead and had a cup of tea", ["sand"]),
        ("oh blast, sanded the bulkhead", ["sand"]),
        ("morning mate, sanded the bulkhead with 120", ["sand"]),
    ],
)
def test_talk_by_the_way_is_passed_over(said: str, frames: list[str]) -> None:
    assert frames_of(said) == frames
    assert left(said) == []


@pytest.mark.parametrize(
    "said",
    [
        "did you see the football",
        "the cat sat on the hatch trim",
        "rm -rf / ; drop table event",
        "🎉🎉",
        "",
        "lorem ipsum dolor",
    ],
)
def test_what_is_not_about_the_job_is_no_report(said: str) -> None:
    assert not any(r.frame.mood == "log" for r in reading(said))


def test_not_yet_is_never_passed_over() -> None:
    assert "sand" not in frames_of("sanded the bulkhead, not yet")


# -- a slip put right in the same breath ----------------------------------------------------------------


@pytest.mark.parametrize(
    ("said", "mended"),
    [
        ("second, no, third coat on the hatch trim", "third coat on the hatch trim"),
        ("sanded the hatch trim at nine, sorry, ten", "sanded the hatch trim at ten"),
        ("coat on the port, no wait, the starboard door", "coat on the starboard door"),
        ("fifteen degrees in the engine room, no, sorry, thirteen", "thirteen degrees in the engine room"),
        ("sanded the bulkhead with 120, er, 180", "sanded the bulkhead with 180"),
        ("sanded the bulkhead, I mean the cratch board", "sanded the cratch board"),
    ],
)
def test_the_slip_is_taken_out(said: str, mended: str) -> None:
    got = repair(tagged(said))
    assert got is not None
    assert " ".join(got.split()) == mended


@pytest.mark.parametrize(
    "said",
    [
        "no the third coat",
        "sanded the bulkhead no",
        "sanded the well with 120",
        "scratch that",
        "is there no varnish left",
        "second coat on the hatch trim",
    ],
)
def test_where_nothing_was_put_right_nothing_is_taken_out(said: str) -> None:
    assert repair(tagged(said)) is None


def test_a_pause_mends_only_a_phrase_that_does_not_read_as_it_stands() -> None:
    said = tagged("sanded the bulkhead with 120, er, 180")
    assert repair(said) is not None
    assert repair(said, settled=True) is None


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("I sanded the hatch trim, didn't I", "I sanded the hatch trim"),
        ("that's dry, isn't it?", "that's dry"),
        ("it's cold isn't it", "it's cold"),
    ],
)
def test_a_tag_question_is_taken_off(said: str, plain: str) -> None:
    assert untagged(tagged(said)) == plain


@pytest.mark.parametrize("said", ["is it dry", "didn't I", "can I", "I sanded it", "what did I do"])
def test_a_real_question_is_left_alone(said: str) -> None:
    assert untagged(tagged(said)) is None


# -- nothing breaks it ----------------------------------------------------------------------------------

TRADE = [
    *sorted(w for w in lexicon().trade if w.isalpha()),
    "the", "a", "on", "in", "to", "and", "then", "at", "no", "not", "if", "?", ",", "240", "60", "ml", "2:1", "10:30",
]  # fmt: skip


@settings(deadline=None)
@given(st.lists(st.sampled_from(TRADE), max_size=14))
def test_any_string_of_the_trades_words_is_read_without_a_fault(words: list[str]) -> None:
    said = tagged(" ".join(words))
    found = read(said)
    count = len(said.tokens)
    for one in found:
        assert 0 <= one.start < one.end <= count
        covered = {k for s in one.spans for k in range(s.i, s.j)}
        assert not covered & set(one.left)  # a word is explained or left, never both
    repair(said)
    untagged(said)
    assert explain(said, found)


@settings(deadline=None)
@given(st.text(max_size=120))
def test_any_text_is_read_without_a_fault(text: str) -> None:
    said = tagged(text)
    assert explain(said, read(said))
