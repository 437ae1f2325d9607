"""What a misspelt word may have been; a real English word is never taken for a verb of the trade."""

from __future__ import annotations

import pytest

from assistant.language.chunks import Cat, cut
from assistant.language.meanings import Deed
from assistant.language.reader import Reader
from assistant.language.spelling import Form, forms
from assistant.language.wordlist import english, wordlist
from language.build import names


def best(word: str) -> str | None:
    """The likeliest other word that a word stands for."""
    found = forms(word, names().words)
    return found[1].word if len(found) > 1 else None


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("varnsh", "varnish"),
        ("varnihs", "varnish"),
        ("sandd", "sanded"),
        ("hach", "hatch"),
        ("hatchh", "hatch"),
        ("companionwy", "companionway"),
        ("bulkhed", "bulkhead"),
        ("undrcoat", "undercoat"),
        ("hardner", "hardener"),
        ("secnd", "second"),
        ("thrid", "third"),
        ("yesteday", "yesterday"),
        ("degres", "degrees"),
        ("stbd", "starboard"),  # a word without its vowels, as thumbs write it
        ("strbrd", "starboard"),
    ],
)
def test_slips_of_the_pen(typed: str, word: str) -> None:
    known = wordlist().known | names().words
    assert best(typed) == word or (typed in known and typed != word)


LOGGED = {"coat", "sand", "fill", "strip", "clean", "mask", "unmask", "bond", "fit", "mix"}
#: Real words a letter or two away from a verb or noun of the trade.
REAL = [
    "sailed",
    "boiled",
    "pained",
    "handed",
    "stranded",
    "pointed",
    "massed",
    "tapped",
    "coasted",
    "boasted",
    "sounded",
    "billed",
    "wished",
    "boned",
    "bounded",
    "fined",
    "mined",
    "cleared",
    "tasted",
    "prided",
    "braided",
    "served",
    "signed",
    "leaned",
    "hanged",
    "moulded",
    "loaded",
]


@pytest.mark.parametrize("word", REAL)
def test_a_real_word_is_never_corrected_to_a_verb_of_the_trade(word: str) -> None:
    assert {f.word for f in forms(word, names().words)[1:]} <= names().words


@pytest.mark.parametrize("word", REAL)
def test_and_tells_of_no_work_but_its_own(word: str) -> None:
    """ "pointed" is a mason's filling; "sailed" is not sanded."""
    own = {form.lemma for form in wordlist().verb_forms(word)}
    done = [m for m in Reader(names()).read(f"{word} the hatch trim").meanings if isinstance(m, Deed)]
    assert {m.verb.partition(" ")[0] for m in done if m.act.value in LOGGED and not m.held} <= own


def test_most_of_the_list_above_is_tested() -> None:
    assert len([w for w in REAL if english(w) is not None]) >= 20


def test_a_real_word_may_be_a_slip_for_one_of_the_jobs_names() -> None:
    """ "vanish" is English, and nobody vanishes a trim; it costs more than a plain slip."""
    real = {f.word: f.doubt for f in forms("vanish", names().words)}
    plain = {f.word: f.doubt for f in forms("varnsh", names().words)}
    assert "varnish" in real
    assert real["varnish"] > plain["varnish"] > 0


@pytest.mark.parametrize("word", ["sanded", "varnish", "hatch", "noon", "xy", "a", "240", ""])
def test_a_known_word_a_short_one_and_a_number_are_taken_as_they_stand(word: str) -> None:
    assert forms(word, names().words) == (Form(word, 0.0),)


@pytest.mark.parametrize("word", ["qqqqqq", "wheelbarrow", "gravy", "zzzfrtk"])
def test_a_word_like_nothing_stays_itself(word: str) -> None:
    assert best(word) is None


def test_people_seldom_miss_the_first_letter() -> None:
    assert "sanded" not in {f.word for f in forms("banded", frozenset())[1:]}
    assert {f.word for f in forms("asnded", frozenset())[1:]} >= {"sanded"}  # but do swap it with the next


def test_every_form_but_the_first_is_doubted_and_the_first_never() -> None:
    for word in ("varnsh", "hach", "vanish", "stbd", "companonway"):
        first, *rest = forms(word, names().words)
        assert first == Form(word, 0.0)
        assert all(0 < f.doubt < 2 for f in rest)
        assert [f.doubt for f in rest] == sorted(f.doubt for f in rest)


def test_the_shorter_the_word_the_fewer_the_slips_allowed() -> None:
    assert best("trmi") in ("trim", None)
    assert best("tirmm") is None  # two slips in five letters
    assert best("companoinwya") == "companionway"


def test_a_misspelt_name_is_found_as_the_piece() -> None:
    for typed, piece in (
        ("hach trim", "hatch trim"),
        ("companonway trim", "companionway trim"),
        ("stbd door", "starboard cabin door"),
    ):
        chunks = [c for held in cut(typed, names()).chunks for c in held if c.cat is Cat.NAME]
        assert piece in {o for c in chunks if c.value.kind == "piece" for o in c.value.options}
