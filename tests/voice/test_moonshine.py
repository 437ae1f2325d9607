"""The transformer's ear, held to what people read aloud and to the trade's sentences."""

import importlib.util
import re
from pathlib import Path

import pytest

from assistant.problem import Problem
from assistant.voice import moonshine
from assistant.voice.network import Network, compiled
from assistant.voice.pieces import PieceNetwork, Vocabulary, any_order
from assistant.voice.sound import Recording
from tests.fixtures.voice_trade import TradePhrases

if moonshine.model_folder() is None:
    pytest.skip(f"no Moonshine model: {moonshine.INSTALL}", allow_module_level=True)


@pytest.fixture(scope="module")
def ear():
    return moonshine.Moonshine()


@pytest.fixture(scope="module")
def trade(ear):
    return PieceNetwork(compiled(TradePhrases().jsgf(), "hello shipmate"), ear.vocabulary)


def plain(text):
    return re.sub(r"[^a-z ]", "", text.lower().replace("-", " ")).split()


def test_a_persons_reading_is_written_down_as_dickens_wrote_it(ear):
    """A person reads the opening of A Tale of Two Cities (Dickens, 1859; the recording is in the model's package)."""
    place = importlib.util.find_spec("moonshine_voice").submodule_search_locations[0]
    said = b"".join(Recording(Path(place) / "assets" / "two_cities.wav").pieces())
    heard = plain(ear.free(said[: 16_000 * 2 * 12]))
    opening = plain(
        "It was the best of times, it was the worst of times, it was the age of wisdom, it was the age of foolishness"
    )
    assert sum(a == b for a, b in zip(heard, opening, strict=False)) >= 0.9 * len(opening)


def test_the_vocabulary_spells_words_as_byte_pair_encoding_does(ear):
    """Each word is spelled by joining first what is first in the list: no other join of two pieces is left."""
    words = sorted(TradePhrases().words())
    spelled = {w: ear.vocabulary.spelled(w) for w in words}
    assert all(ear.vocabulary.text(list(pieces)) == w for w, pieces in spelled.items())
    assert ear.vocabulary.spelled("the") == (278,)  # as SentencePiece's Llama vocabulary of 32,000 has it
    assert ear.vocabulary.spelled("ж\N{SNOWMAN}") == ()


def test_a_file_that_is_no_vocabulary_is_a_problem(tmp_path):
    path = tmp_path / "tokenizer.bin"
    path.write_bytes(b"\x03abc")
    with pytest.raises(Problem):
        Vocabulary(path)


def test_a_model_that_does_not_load_is_a_problem_that_says_what_to_do(tmp_path):
    for name in ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin"):
        (tmp_path / name).write_bytes(b"nothing")
    with pytest.raises(Problem, match="pip install"):
        moonshine.Moonshine(tmp_path)


@pytest.mark.parametrize(
    "text",
    [
        "mixed sixty grams of tread epoxy two to one by weight",
        "it is fourteen degrees in the galley",
        "what did i do yesterday",
        "hello shipmate third coat on the locker lids",
    ],
)
def test_held_to_the_grammar_it_hears_the_sentence(ear, trade, spoken, text):
    heard = ear.hear(spoken(text), trade)
    assert heard.sentences[0].text == text
    assert heard.free.score - heard.sentences[0].score < 12


def test_other_talk_is_far_likelier_than_any_sentence(ear, trade, spoken):
    heard = ear.hear(spoken("scratch my back"), trade)
    assert plain(heard.free.text)[:2] == ["scratch", "my"]
    assert heard.free.score - heard.sentences[0].score > 8


def test_a_score_is_the_same_for_a_sentence_alone_and_among_others(ear, trade, spoken):
    heard = ear.hear(spoken("it is fourteen degrees in the galley"), trade)
    texts = ["it is fourteen degrees in the galley", "it is forty degrees in the galley", "undo that"]
    together = [s.score for s in ear.scored(heard, texts)]
    alone = [ear.scored(heard, [t])[0].score for t in texts]
    assert together == pytest.approx(alone, rel=0.1, abs=0.5)  # eight-bit sums are rounded by the whole batch
    assert together[0] > together[1] > together[2]


def test_sound_too_short_for_a_word_is_nothing(ear, trade):
    assert ear.hear(bytes(1000), trade).sentences == ()
    assert ear.free(b"") == ""
    assert ear.scored(ear.hear(b"", trade), ["undo that"]) == []


def test_words_that_begin_alike_share_their_pieces(ear):
    network = Network(({"sand": 1, "sanded": 1, "sanding": 1}, {}), frozenset({1}))
    pieces = PieceNetwork(network, ear.vocabulary)
    ways = [(to, word) for arc in pieces.arcs for way in arc.values() for to, word in way if word]
    assert sorted(word for _, word in ways) == ["sand", "sanded", "sanding"]
    assert all(to == 1 for to, _ in ways)


def test_any_words_of_a_list_are_heard_in_any_order(ear, spoken):
    words = ["gave", "the", "companionway", "trim", "a", "rub", "with", "two", "forty", "sand", "bulkhead", "coat"]
    heard = ear.hear(
        spoken("gave the companionway trim a rub with two forty"),
        PieceNetwork(compiled("#JSGF V1.0; public <s> = undo that;"), ear.vocabulary),
        PieceNetwork(any_order(words), ear.vocabulary),
    )
    assert heard.loose[0].text == "gave the companionway trim a rub with two forty"
