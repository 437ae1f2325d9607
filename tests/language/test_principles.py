"""What the reader promises whatever is said: what never logs, what is never lost, and what makes no difference.

Each promise is kept by a whole turn, not by the reader alone: a phrase goes in and the journal is looked at. The
wordings are a tradesperson's on the Linnet: common practice, no source. The made-up words are in no dictionary.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from dialogue.build import Linnet
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.language.meanings import Answer, Deed, Force, Meaning, Question, Remark, Unread
from assistant.language.reader import Reader
from language.build import linnet, names

READER = Reader(names())
PIECES = sorted(linnet().pieces)


def unkept(phrases: Iterable[str], failing: dict[str, str]) -> list[object]:
    """Phrases as parameters; those that the reader is known to fail are expected to, each with its reason."""
    listed = list(phrases)
    assert set(failing) <= set(listed), "a failing phrase that is in no list"
    marks = {p: pytest.mark.xfail(reason=why, strict=True) for p, why in failing.items()}
    return [pytest.param(p, marks=marks[p]) if p in marks else p for p in listed]


@pytest.fixture
def talk(tmp_path: Path) -> Iterator[Linnet]:
    with Linnet(tmp_path) as session:
        yield session


# -- a question never writes -------------------------------------------------------------------------------

DONE_TO = ["sanded", "varnished", "primed", "masked", "filled", "stripped", "rubbed down", "undercoated"]
PLAIN = ["sand", "varnish", "prime", "mask", "fill", "strip", "rub down", "undercoat"]
#: Inverted and wh- forms: {done} a participle, {plain} an infinitive, {piece} a piece.
ASKING = [
    "is the {piece} {done}",
    "was the {piece} {done} yesterday",
    "has the {piece} been {done}",
    "have i {done} the {piece}",
    "did i {plain} the {piece}",
    "did i {plain} the {piece} at nine",
    "can i {plain} the {piece}",
    "should i {plain} the {piece} today",
    "when did i {plain} the {piece}",
    "when was the {piece} {done}",
    "what did i {plain} the {piece} with",
    "who {done} the {piece}",
    "why was the {piece} {done}",
    "how long ago was the {piece} {done}",
    "how did i {plain} the {piece}",
]


@given(
    st.sampled_from(ASKING), st.sampled_from(list(zip(DONE_TO, PLAIN, strict=True))), st.sampled_from(PIECES),
    st.sampled_from(["", "?"]),
)  # fmt: skip
@settings(max_examples=250, deadline=None)
def test_an_inverted_or_a_wh_question_is_a_question_and_nothing_else(
    form: str, verb: tuple[str, str], piece: str, mark: str
) -> None:
    said = form.format(done=verb[0], plain=verb[1], piece=piece) + mark
    assert [m for m in READER.read(said).meanings if not isinstance(m, Question)] == [], said


@pytest.mark.parametrize("form", ASKING)
def test_and_leaves_the_journal_as_it_was(form: str, talk: Linnet) -> None:
    before = talk.export()
    talk(form.format(done="sanded", plain="sand", piece="hatch trim"))
    assert talk.gained(before) == []


# -- what was not done, or is only meant, is not logged as done ---------------------------------------------

DENIED = [
    "didn't sand the bulkhead",
    "did not sand the bulkhead",
    "haven't sanded the bulkhead",
    "never sanded the bulkhead",
    "not sanded the bulkhead",
    "the bulkhead hasn't been sanded",
    "didn't get round to sanding the bulkhead",
    "couldn't sand the bulkhead",
    "skipped sanding the bulkhead",
    "no varnish on the hatch trim yet",
    "no coat on the cratch board today",
    "sanded nothing today",
    "gave up on sanding the bulkhead",
]
MEANT = [
    "i'll varnish the hatch trim tomorrow",
    "i'm going to sand the galley shelf",
    "about to sand the step treads",
    "must prime the bulkhead",
    "need to fill the bulkhead",
    "want to undercoat the port cabin door",
    "meant to sand the hatch trim",
    "planning to mask the bulkhead",
    "thinking of varnishing the cratch board",
    "supposed to prime the bulkhead today",
    "should have filled the bulkhead",
    "forgot to sand the bulkhead",
    "remind me to sand the bulkhead",
    "put off sanding the hatch trim till friday",
    "the cratch board is to be sanded on friday",
    "the galley shelf still has to be sanded",
    "the galley shelf wants sanding",
    "the galley shelf could do with sanding",
    "the bulkhead needs priming",
    "the galley shelf needs sanding",
    "the galley shelf needs masking",
    "the galley shelf needs filling",
    "to do sand the hatch trim",
    "i might varnish the cratch board",
    "if it's dry i'll sand the hatch trim",
    "i nearly sanded the bulkhead",
    "wish i'd sanded the bulkhead",
]
#: What a journal may gain from a phrase that tells of nothing done: a job to do, or the words as they were heard.
NO_WORK = {"task", "unread"}


@pytest.mark.parametrize(
    "said",
    DENIED + MEANT,
)
def test_a_deed_that_is_denied_or_only_meant_is_never_logged_as_done(said: str, talk: Linnet) -> None:
    before = talk.export()
    talk(said)
    assert [e["kind"] for e in talk.gained(before) if e["kind"] not in NO_WORK] == []


# -- what is not read keeps the whole back -----------------------------------------------------------------

UNREAD_VERB = [
    "zanfed the hatch trim at nine",
    "quorbed the galley shelf with 240",
    "sanded the hatch trim and blorted the bulkhead",
    "blorted the hatch trim and sanded the bulkhead",
    "varnished the hatch trim and gribbled the cratch board",
]
UNREAD_MEASURE = [
    "sanded the hatch trim with 40 wibs",
    "sanded the hatch trim with 240 at 7 zorks",
    "sanded the hatch trim at 300 rpm",
    "sanded the hatch trim for 9 blorts",
    "sanded the hatch trim 47",
    "primed the bulkhead 3 furlongs",
    "second coat on the hatch trim at 30 knots",
    "second coat on the hatch trim, 14 volts",
    "varnished the hatch trim at 5 bar",
    "varnished the hatch trim through three wibbles",
    "mixed 60 zorks of tread epoxy",
    "thinned the varnish by nine zorks",
]
SWALLOWED = "A verb nobody knows between two pieces is passed over, and both get the known deed."


@pytest.mark.parametrize(
    "said",
    unkept(
        UNREAD_VERB + UNREAD_MEASURE,
        {
            "sanded the hatch trim and blorted the bulkhead": SWALLOWED,
            "blorted the hatch trim and sanded the bulkhead": SWALLOWED,
            "varnished the hatch trim and gribbled the cratch board": "The unknown verb is taken for dribbled.",
            "quorbed the galley shelf with 240": "An unknown verb alone is filed as a note, not as unread.",
            "sanded the hatch trim 47": "A bare number at the end is taken for a grit, though no paper has it.",
            "varnished the hatch trim at 5 bar": "A pressure is read as five o'clock, and its unit is dropped.",
        },
    ),
)
def test_a_phrase_with_an_unread_verb_or_measure_is_not_logged_in_part(said: str, talk: Linnet) -> None:
    before = talk.export()
    reply = talk(said)
    assert [e["kind"] for e in talk.gained(before) if e["kind"] != "unread"] == []
    assert reply["outcome"] in ("unclear", "asked")


@pytest.mark.parametrize(
    "said", ["sanded the hatch trim with 40 wibs", "sanded the hatch trim wombat", "mixed 60 zorks of tread epoxy"]
)
def test_what_is_not_read_is_kept_as_heard_and_the_word_named(said: str, talk: Linnet) -> None:
    before = talk.export()
    reply = talk(said)
    (kept,) = talk.gained(before)
    assert (kept["kind"], kept["text"]) == ("unread", said)
    assert any(word in reply["reply"] for word in ("wibs", "wombat", "zorks"))


# -- the order of what stands beside the verb makes no difference -------------------------------------------


def bare(meaning: Meaning) -> Meaning:
    """A meaning without the words it was said in."""
    plain = replace(meaning, words="")
    if isinstance(plain, Deed) and plain.pieces is not None:
        plain = replace(plain, pieces=replace(plain.pieces, words=""))
    return plain


ORDERS = [
    ("sanded the hatch trim at nine", "at nine i sanded the hatch trim"),
    ("sanded the hatch trim at nine", "sanded at nine the hatch trim"),
    ("primed the bulkhead yesterday at four", "yesterday at four primed the bulkhead"),
    ("masked the bulkhead half an hour ago", "half an hour ago masked the bulkhead"),
    ("mixed 60 ml of tread epoxy at ten", "at ten mixed 60 ml of tread epoxy"),
    ("it's 17 degrees in the galley", "in the galley it's 17 degrees"),
    ("17 degrees in the galley at nine", "at nine 17 degrees in the galley"),
    ("second coat on the hatch trim at noon", "at noon second coat on the hatch trim"),
    ("sanded the bulkhead with 240 at nine", "sanded the bulkhead at nine with 240"),
]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        pytest.param(
            *pair,
            marks=pytest.mark.xfail(
                reason="A time before a coat that has no verb is held back as a word unread.", strict=True
            ),
        )
        if pair[1].startswith("at noon")
        else pair
        for pair in ORDERS
    ],
)
def test_where_a_time_or_a_place_stands_does_not_change_the_meaning(one: str, other: str) -> None:
    assert [bare(m) for m in READER.read(one).meanings] == [bare(m) for m in READER.read(other).meanings]


# -- a set leaves out whom it says it leaves out -------------------------------------------------------------


@pytest.mark.parametrize(
    "joint",
    ["except", "except for", "apart from", "but not", "bar", "other than"],
)
def test_a_piece_that_is_left_out_gets_no_entry(joint: str, talk: Linnet) -> None:
    before = talk.export()
    talk(f"varnished everything {joint} the cratch board")
    assert "cratch board" not in {e.get("piece") for e in talk.gained(before)}


# -- a slip of one letter in a long word ---------------------------------------------------------------------

LONG = 7  # a shorter word a letter off is often another word
SLIPPED = [
    "varnished the companionway trim at noon",
    "undercoated the bulkhead yesterday",
    "stripped the starboard cabin door",
    "sanded the companionway trim with 240",
    "second coat of amber varnish on the starboard cabin door",
    "mixed 60 ml of undercoat",
]


def slips(word: str) -> Iterator[str]:
    """A letter left out, struck twice, or changed with its neighbour; the first is seldom missed."""
    for k in range(1, len(word)):
        yield word[:k] + word[k + 1 :]
        yield word[:k] + word[k] + word[k:]
    for k in range(1, len(word) - 1):
        yield word[:k] + word[k + 1] + word[k] + word[k + 2 :]


#: A slip that makes another word of the trade likelier than the one meant.
STRIPED = "It is, or is taken for, striped, and a fault is put down without a question."
ANOTHER = {
    "strpped": "It is as near to strapped, a clamping, as to stripped, and nobody asks which.",
    "sripped": "It is as near to dripped, a run, as to stripped, and nobody asks which.",
    "striped": STRIPED,
    "strpiped": STRIPED,
    "stripepd": STRIPED,
}


def enters(meaning: Meaning) -> bool:
    """Whether a meaning may become an entry without a question."""
    told = meaning.force is Force.DONE and meaning.held is None and meaning.doubt <= 0.5
    return told and not isinstance(meaning, Question | Remark | Unread | Answer)


def entry(meaning: Meaning) -> Meaning:
    """A meaning as an entry: without its words, the doubts of its names, and how sure it is."""
    plain = replace(bare(meaning), doubt=0.0, unused=())
    if not isinstance(plain, Deed):
        return plain
    sure: Callable[..., tuple] = lambda named: tuple(n._replace(doubt=0.0, whole=True) for n in named)  # noqa: E731
    plain = replace(plain, products=sure(plain.products), verb="")
    return replace(plain, pieces=replace(plain.pieces, names=sure(plain.pieces.names))) if plain.pieces else plain


@pytest.mark.parametrize("said", SLIPPED)
def test_a_slip_in_a_long_word_gives_the_same_entry_or_a_question(said: str) -> None:
    right = [entry(m) for m in READER.read(said).meanings]
    other = {}
    for word in said.split():
        for slip in set(slips(word)) - {word} if len(word) >= LONG else ():
            typed = said.replace(word, slip)
            if slip in ANOTHER:
                continue
            found = [entry(m) for m in READER.read(typed).meanings if enters(m)]
            if found and found != right:
                other[typed] = found
    assert other == {}


@pytest.mark.parametrize(
    "slip", [pytest.param(s, marks=pytest.mark.xfail(reason=why, strict=True)) for s, why in ANOTHER.items()]
)
def test_a_slip_between_two_words_of_the_trade_is_asked_about(slip: str) -> None:
    said = READER.read(f"{slip} the starboard cabin door").meanings
    assert not [m for m in said if enters(m)]


# -- nothing breaks it ----------------------------------------------------------------------------------------

TRADE = [
    *sorted(w for w in names().words if w.isalpha()), "sanded", "varnished", "coat", "second", "put", "off", "masked",
    "the", "a", "on", "in", "to", "and", "then", "at", "no", "not", "if", "?", ",", "240", "60", "ml", "2:1", "10:30",
]  # fmt: skip


@given(st.lists(st.sampled_from(TRADE), max_size=14))
@settings(max_examples=100, deadline=None)
def test_any_string_of_the_trades_words_is_read_without_a_fault(words: list[str]) -> None:
    assert READER.read(" ".join(words)).meanings


@given(st.text(max_size=120))
@settings(max_examples=100, deadline=None)
def test_any_text_is_read_without_a_fault(text: str) -> None:
    assert READER.read(text).meanings


@pytest.mark.parametrize(
    "said",
    unkept(
        ["did you see the football", "the cat sat on the hatch trim", "rm -rf / ; drop table event", "🎉🎉", ""],
        {"the cat sat on the hatch trim": "It is put down as a fault, though no film is on the trim."},
    ),
)
def test_what_is_not_about_the_work_logs_nothing(said: str, talk: Linnet) -> None:
    before = talk.export()
    talk(said)
    assert [e["kind"] for e in talk.gained(before) if e["kind"] != "unread"] == []


@pytest.mark.parametrize(
    ("slip", "plain"),
    [
        ("second, no, third coat on the hatch trim", "third coat on the hatch trim"),
        ("sanded the hatch trim at nine, sorry, ten", "sanded the hatch trim at ten"),
        ("sanded the bulkhead with 120, er, 180", "sanded the bulkhead with 180"),
        ("sanded the bulkhead, i mean the cratch board", "sanded the cratch board"),
        ("i sanded the hatch trim, didn't i", "i sanded the hatch trim"),
    ],
)
def test_a_slip_put_right_in_the_same_breath_is_read_as_put_right(slip: str, plain: str) -> None:
    assert [bare(m) for m in READER.read(slip).meanings] == [bare(m) for m in READER.read(plain).meanings]
