"""What the grammar says can be said is read as what it says it is; and the grammar's two files hold together."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.language.frames import Frame, frames
from assistant.language.phrasing import examples, expand, filled, openings, samples
from assistant.language.tokens import tokens
from language.build import linnet, reading

GRAMMARS = Path(__file__).parents[2] / "grammars"
WORDS = tomllib.loads((GRAMMARS / "words.toml").read_text(encoding="utf-8"))
FRAMES = tomllib.loads((GRAMMARS / "frames.toml").read_text(encoding="utf-8"))["frame"]
SLOT = re.compile(r"<([a-z]+)>")
SAMPLES = samples(linnet())
SHAPED = [frame for frame in frames() if frame.shapes]

#: What the reader itself tags, beside the words of the list (assistant/language/spans.py).
BUILT_IN = {
    "number",
    "grit",
    "nth",
    "count",
    "ordinal",
    "ratio",
    "amount",
    "percent",
    "film",
    "area",
    "temp",
    "clock",
    "day",
    "ago",
    "ahead",
    "duration",
    "until",
    "range",
    "piece",
    "space",
    "product",
    "products",
    "fill",
    "part.base",
    "part.hardener",
    "talk.another",
}
TAGS = BUILT_IN | {f"{family}.{key.partition(':')[0]}" for family, keys in WORDS.items() for key in keys}
FAMILIES = {tag.partition(".")[0] for tag in TAGS}


def exists(tag: str) -> bool:
    return tag[:-2] in FAMILIES if tag.endswith(".*") else tag in TAGS


def said_as(frame: Frame, turn: int) -> list[str]:
    """Every shape of a frame, each optional part in and out, its slots filled with the turn-th words of each."""
    texts = (text for shape in frame.shapes for text in expand(shape))
    return [in_words(text, turn) for text in texts]


def in_words(text: str, turn: int) -> str:
    """Fill the slots of a shape; a second slot of a kind takes the next word, so that two products differ."""
    for k in range(text.count("<")):
        text = SLOT.sub(lambda s, k=k: SAMPLES[s.group(1)][(turn + k) % len(SAMPLES[s.group(1)])], text, count=1)  # type: ignore[misc]
    return text


def misread(frame: Frame, said: str) -> str | None:
    """Say what is wrong with the reading of a phrase that is one of a frame's own."""
    found = reading(said)
    if [r.frame.name for r in found] != [frame.name]:
        return f"{said!r} is read as {[r.frame.name for r in found]}"
    if found[0].left or found[0].broken or found[0].cost.violations:
        return f"{said!r} leaves {found[0].left}, against it {found[0].broken or found[0].cost.violations}"
    return None


@pytest.mark.parametrize("frame", SHAPED, ids=lambda frame: frame.name)
def test_every_shape_in_the_jobs_own_words_is_read_as_its_own_frame(frame: Frame) -> None:
    most = max((len(SAMPLES[s]) for shape in frame.shapes for s in SLOT.findall(shape)), default=1)
    wrong = {found for turn in range(most) for said in said_as(frame, turn) if (found := misread(frame, said))}
    assert not wrong, "\n".join(sorted(wrong))


WIDER = {
    **SAMPLES,
    "ordinal": ["first", "second", "sixth", "2nd", "7th"],
    "count": ["two", "three", "5"],
    "time": [
        "at noon",
        "at 02:05",
        "an hour ago",
        "yesterday at four",
        "this morning at nine",
        "half an hour ago",
        "at quarter past one",
    ],
    "clock": ["noon", "ten to four", "07:45", "half eight", "9 pm"],
    "day": ["monday", "tomorrow", "saturday"],
    "grit": ["120", "P180", "one fifty", "400 grit"],
    "humidity": ["70 %", "eighty percent"],
    "percent": ["5 %", "seven percent", "12.5 percent"],
    "amount": ["two and a half litres", "a pint", "250ml", "100 g", "three quarters of a litre", "40 cc"],
    "temperature": ["minus two degrees", "12.5 degrees", "20 °C", "50 fahrenheit"],
    "fault": ["dry spot", "fisheye", "wrinkle", "sag"],
}


def fresh(data: st.DataObject, words: list[str], taken: list[str]) -> str:
    """Draw a word that the phrase does not have yet: nobody puts a varnish over the same varnish."""
    taken.append(data.draw(st.sampled_from([word for word in words if word not in taken])))
    return taken[-1]


@given(st.data())
@settings(max_examples=300, deadline=None)
def test_a_shape_with_any_words_of_the_right_kind_is_read_as_its_own_frame(data: st.DataObject) -> None:
    frame = data.draw(st.sampled_from(SHAPED))
    text = data.draw(st.sampled_from([text for shape in frame.shapes for text in expand(shape)]))
    taken: list[str] = []
    said = SLOT.sub(lambda s: fresh(data, WIDER[s.group(1)], taken), text)
    found = misread(frame, said)
    assert found is None, found


def test_there_are_shapes_enough_to_mean_something() -> None:
    assert len(SHAPED) >= 40
    assert sum(len(list(expand(shape))) for frame in SHAPED for shape in frame.shapes) >= 200


# -- putting shapes out again ----------------------------------------------------------------------------


def test_an_optional_part_is_left_out_and_put_in() -> None:
    assert list(expand("sanded [the] <piece> [with <grit>]")) == [
        "sanded <piece>",
        "sanded <piece> with <grit>",
        "sanded the <piece>",
        "sanded the <piece> with <grit>",
    ]
    assert list(expand("why")) == ["why"]


def test_a_filled_shape_takes_the_turns_words_round_and_round() -> None:
    words = {"piece": ["rail", "door"], "grit": ["240"]}
    said = [filled("sanded [the] <piece> with <grit>", words, k) for k in range(3)]
    assert said == ["sanded the rail with 240", "sanded the door with 240", "sanded the rail with 240"]


def test_every_slot_of_every_shape_has_words() -> None:
    assert {s for frame in SHAPED for shape in frame.shapes for s in SLOT.findall(shape)} <= set(SAMPLES)


def test_examples_and_completions_speak_of_the_jobs_own_things() -> None:
    shown, offered = examples(linnet()), openings(linnet())
    assert len(shown) == 12
    assert not [text for text in [*shown, *offered] if "<" in text or "[" in text]
    assert len(offered) == len(set(offered))
    for name in [*linnet().pieces, *linnet().spaces, *linnet().labels]:
        assert any(name in text for text in offered), name


# -- the word list and the frames hold together ---------------------------------------------------------


@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame["name"])
def test_a_frame_needs_no_tag_that_nothing_has(frame: dict) -> None:
    needed = {tag for need in frame["needs"] for tag in need}
    assert not {tag for tag in needed if not exists(tag)}


@pytest.mark.parametrize("frame", FRAMES, ids=lambda frame: frame["name"])
def test_a_frame_says_nothing_twice(frame: dict) -> None:
    needs = [tuple(need) for need in frame["needs"]]
    assert len(needs) == len(set(needs))
    assert len(frame.get("shapes", ())) == len(set(frame.get("shapes", ())))


def test_frames_have_names_of_their_own_and_a_mood() -> None:
    assert len({frame["name"] for frame in FRAMES}) == len(FRAMES)
    assert {frame["mood"] for frame in FRAMES} == {"log", "ask", "talk"}


def test_every_frame_has_somebody_who_answers_it() -> None:
    """``yes``, ``no`` and ``pick`` are only answers to a question back."""
    from assistant import turn

    answered = {name for table in vars(turn).values() if isinstance(table, dict) for name in table}
    answered |= _tables()
    assert {frame["name"] for frame in FRAMES} - answered == {"yes", "no", "pick"}


def _tables() -> set[str]:
    """The names in the tables of handlers, wherever in the dialogue they stand."""
    from importlib import import_module

    found: set[str] = set()
    for path in (Path(__file__).parents[2] / "assistant" / "dialogue").glob("[a-z]*.py"):
        room = import_module(f"assistant.dialogue.{path.stem}")
        tables = [t for n, t in vars(room).items() if n.isupper() and isinstance(t, dict)]
        found |= {name for table in tables for name in table if isinstance(name, str)}
    return found


def written() -> list[tuple[str, str]]:
    """Every entry of the word list with its tag, choices and optional parts laid side by side."""
    marks = str.maketrans("([|)]", "     ")
    return [
        (f"{family}.{key}", entry.translate(marks))
        for family, keys in WORDS.items()
        for key, held in keys.items()
        for entry in held
    ]


def test_every_entry_can_be_matched_by_what_a_phrase_is_cut_into() -> None:
    """An entry of several words that would be cut otherwise is dead: nothing anybody says can be it."""
    from assistant.language.lexicon import lexicon

    dead = []
    for tag, entry in written():
        cut = [token.text for token in tokens(entry)]
        if (
            " " in entry
            and cut != entry.split()
            and "".join(cut) != "".join(entry.split())
            and not _said_otherwise(lexicon(), cut, tag)
        ):
            dead.append((tag, entry, cut))
    assert not dead


def _said_otherwise(lex: object, cut: list[str], tag: str) -> bool:
    """Whether the cut words stand in the list themselves, under the same tag."""
    entries = lex.by_first.get(cut[0], ())  # type: ignore[attr-defined]
    return any(list(e.words) == cut and e.tag == tag.partition(":")[0] for e in entries)


def test_no_entry_is_empty_or_capitalised() -> None:
    assert not [(tag, entry) for tag, entry in written() if not entry.strip() or entry != entry.lower()]


def test_a_filler_is_never_a_unit_or_a_number() -> None:
    """Fillers cost next to nothing: were a unit one of them, an amount could lose it."""
    from assistant.language.lexicon import UNIT_WORDS
    from assistant.language.numbers import WORDS as NUMBERS

    free = set(WORDS["fill"]["free"])
    assert free & UNIT_WORDS <= {"grit"}
    assert free & NUMBERS <= {"first", "one", "oh"}
