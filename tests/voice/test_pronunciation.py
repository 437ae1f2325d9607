"""Words that the dictionary lacks get a sound; the ones nobody can say are named."""

import pytest

from assistant.problem import Problem
from assistant.voice import pronunciation
from assistant.voice.pronunciation import PHONES, arpabet, lexicon, pronounce

# CMU Pronouncing Dictionary, without stress
KNOWN = {
    "work": "W ER K", "top": "T AA P", "coat": "K OW T", "deck": "D EH K", "head": "HH EH D", "sand": "S AE N D",
    "book": "B UH K",
    "case": "K EY S", "brush": "B R AH SH", "rail": "R EY L", "mix": "M IH K S", "tape": "T EY P",
}  # fmt: skip


@pytest.fixture
def no_lexicon(monkeypatch):
    monkeypatch.setattr(pronunciation, "lexicon", lambda path=None: {})


@pytest.mark.parametrize(
    ("word", "phones"),
    [
        # held against the CMU dictionary's own entries for bookcase, sanded, brushes, mixed, taping, tapes
        ("bookcase", "B UH K EY S"), ("sanded", "S AE N D AH D"), ("brushes", "B R AH SH IH Z"),
        ("mixed", "M IH K S T"),
        ("taping", "T EY P IH NG"), ("tapes", "T EY P S"), ("rails", "R EY L Z"), ("deckhead", "D EH K HH EH D"),
        ("worktops", "W ER K T AA P S"), ("recoat", "R IY K OW T"),
    ],
)  # fmt: skip
def test_compounds_and_endings_are_built_from_known_words(no_lexicon, word, phones):
    assert phones in pronounce(word, KNOWN.get)


def test_the_lexicon_comes_before_any_rule():
    assert pronounce("coaming", {}.get) == ("K OW M IH NG",)


def test_a_word_without_known_parts_is_asked_of_the_rule_and_else_has_no_sound():
    assert pronounce("snickersnee", {}.get, lambda _w: "S N IY") == ("S N IY",)
    assert pronounce("snickersnee", {}.get, lambda _w: None) == ()


def test_the_shipped_lexicon_is_sound():
    entries = lexicon()
    assert len(entries) > 60
    for word, entry in entries.items():
        assert word == word.lower()
        assert entry.phones
        assert all(set(p.split()) <= PHONES for p in entry.phones)


def test_a_wrong_phone_is_named_with_its_line(tmp_path):
    path = tmp_path / "lexicon.txt"
    path.write_text("# remark\ncoaming K OW M IH NG\ngunwale G UN W\n")
    with pytest.raises(Problem, match="line 3: UN"):
        lexicon(path)


@pytest.mark.parametrize(
    ("mnemonics", "phones"),
    [
        ("k'oUmIN", "K OW M IH NG"),
        ("w'3:kt0p", "W ER K T AA P"),
        ("tS'i:z", "CH IY Z"),
        ("dZ'ampI2N", "JH AE M P IH NG"),
    ],
)
def test_espeak_mnemonics_become_arpabet(mnemonics, phones):
    # https://github.com/espeak-ng/espeak-ng/blob/master/docs/phonemes.md
    assert arpabet(mnemonics) == phones
