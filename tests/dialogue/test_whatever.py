"""Whatever is said: no number is lost, a slip finds its piece or asks, and nothing breaks."""

from __future__ import annotations

import json
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from assistant.language.phrasing import Mood, expand, samples, spoken
from dialogue.build import NOW, Linnet, Said, bare, kinds, only
from dialogue.promises import promises


@pytest.fixture(scope="module")
def long_talk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Linnet]:
    """One talk for the checks that hold whatever went before."""
    with Linnet(tmp_path_factory.mktemp("talk")) as talk:
        talk("second coat on the hatch trim at noon", "mixed 60 ml of epoxy")
        yield talk


# -- a number is never lost ------------------------------------------------------------------------------

LOGS = [(kind.name, list(expand(kind.shapes[0]))[-1]) for kind in spoken() if kind.mood is Mood.TOLD]


#: Kinds of report out of which a number put at some places is lost: it is neither logged nor named back.
LOSES = {
    "coat", "sand", "fill", "strip", "clean", "mask", "unmask", "bond", "mix", "climate", "task",
    "replan", "hours", "gear",
}  # fmt: skip


@pytest.mark.parametrize(
    ("kind", "shape"),
    [
        pytest.param(
            name, shape, id=name,
            marks=[pytest.mark.xfail(strict=True, reason="a stray number at some places is dropped without a word")]
            if name in LOSES else [],
        )
        for name, shape in LOGS
    ],
)  # fmt: skip
def test_a_number_put_anywhere_into_a_report_is_in_the_event_or_named_back_or_stops_it(
    kind: str, shape: str, long_talk: Linnet
) -> None:
    phrase = shape
    for slot, listed in samples(long_talk.session.state).items():
        phrase = phrase.replace(f"<{slot}>", listed[0])
    words = phrase.split()
    lost = []
    for stray, marks in (("47", ("47",)), ("ninety seven", ("97", "ninety seven")), ("0.37", ("0.37", ".37"))):
        for place in range(len(words) + 1):
            said = " ".join([*words[:place], stray, *words[place:]])
            long_talk.forget()
            reply = long_talk.at(NOW)(said)
            held = json.dumps([{k: v for k, v in e.items() if k not in ("id", "said_at")} for e in reply["events"]])
            if reply["outcome"] == "logged" and not any(mark in held + reply["reply"] for mark in marks):
                lost.append(said)
    assert not lost, "\n".join(lost)


# -- nothing breaks it -----------------------------------------------------------------------------------

WORDS = [
    "coat", "second", "hatch", "trim", "varnish", "the", "on", "of", "sanded", "with", "two", "forty", "at", "noon",
    "60", "ml", "mixed", "epoxy", "it", "is", "fourteen", "degrees", "scratch", "that", "no", "yes", "why", "same",
    "other", "door", "when", "can", "i", "touch", "how", "much", "hardener", "and", "then", "make", "until",
    "seven", "yesterday", "ago", "an", "hour", "0", "-1", "1e9", "25:00", "percent", "not", "if", "what",
    "bulkhead", "run", "empty", "tin", "note", "new", "piece", "remind", "me", "to", "port", "?", ",", "one", "all",
    "both", "primed", "mast",
]  # fmt: skip


def gained(talk: Linnet, before: int, reply: Said) -> int:
    """How many events the journal has more; what was not understood may be kept once as unread."""
    more = talk.session.state.last_id - before
    last = talk.session.state.unread[-1] if talk.session.state.unread else None
    kept = last is not None and last.id == before + 1
    return more - 1 if reply["outcome"] == "unclear" and kept else more


@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(words=st.lists(st.sampled_from(WORDS), min_size=1, max_size=10))
def test_any_string_of_words_keeps_the_promises_and_logs_only_when_it_says_so(
    words: list[str], long_talk: Linnet
) -> None:
    phrase = " ".join(words)
    before = long_talk.session.state.last_id
    reply = long_talk.at(NOW)(phrase)
    promises(reply, phrase)
    assert gained(long_talk, before, reply) == len(reply["events"])


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(phrase=st.text(max_size=200))
def test_any_text_at_all_changes_nothing(phrase: str, long_talk: Linnet) -> None:
    long_talk.forget()
    before = long_talk.session.state.last_id
    reply = long_talk.at(NOW)(phrase)
    promises(reply, phrase)
    if reply["outcome"] != "logged":
        assert gained(long_talk, before, reply) == 0
    else:
        assert kinds(reply) == ["note"] or any(ch.isascii() and ch.isalpha() for ch in phrase)


NAMES = (
    "hatch trim",
    "companionway trim",
    "cratch board",
    "bulkhead",
    "port cabin door",
    "starboard cabin door",
    "galley shelf",
    "step treads",
)


@st.composite
def slips(draw: st.DrawFn) -> tuple[str, str]:
    """A piece's name with one letter dropped, doubled, changed or swapped with the next."""
    name = draw(st.sampled_from([name for name in NAMES if len(name) >= 6]))
    place = draw(st.integers(0, len(name) - 2))
    letter = draw(st.sampled_from("abcdefghijklmnopqrstuvwxyz"))
    typed = draw(
        st.sampled_from(
            [
                name[:place] + name[place + 1 :],
                name[:place] + letter + name[place + 1 :],
                name[:place] + letter + name[place:],
                name[:place] + name[place + 1] + name[place] + name[place + 2 :],
            ]
        )
    )
    return name, typed


#: Slips that end otherwise, a letter from another word of the trade.
MISSED = {"mort cabin door": "port cabin door", "eatch trim": "hatch trim"}
#: A letter from a drip, a hoard, a scratch: read as the name, not as those.
CLOSE = {
    "hatch drim": "hatch trim",
    "companionway drim": "companionway trim",
    "scratch board": "cratch board",
    "cratch hoard": "cratch board",
    "starboard cabin noor": "starboard cabin door",
}


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(slip=slips())
def test_one_slip_in_a_name_still_finds_the_piece_or_asks(slip: tuple[str, str], long_talk: Linnet) -> None:
    assume(slip[1] not in MISSED)
    found_or_asked(*slip, long_talk)


@pytest.mark.parametrize("typed", [
    "mort cabin door",
    pytest.param("eatch trim", marks=pytest.mark.xfail(
        strict=True, reason="a slip of hatch is taken for each, and both trims are logged as sanded")),
])  # fmt: skip
def test_a_slip_that_is_not_seen_for_one_logs_nothing_of_another_piece(typed: str, say: Linnet) -> None:
    reply = say(f"sanded the {typed} with 240")
    assert {event["piece"] for event in reply["events"]} <= {MISSED[typed]}


@pytest.mark.parametrize("typed", sorted(CLOSE))
def test_a_slip_is_not_logged_as_another_word_of_the_trade(typed: str, say: Linnet) -> None:
    say("there's a run in the varnish on the hatch trim")
    found_or_asked(CLOSE[typed], typed, say)


def found_or_asked(name: str, typed: str, talk: Linnet) -> None:
    """The piece is found, or there is a question that would find it."""
    talk.forget()
    reply = talk.at(NOW)(f"sanded the {typed} with 240")
    if reply["outcome"] == "asked":
        assert name.rsplit(maxsplit=1)[-1] in reply["reply"] or "I have no piece called" in reply["reply"]
    else:
        done = [e for e in reply["events"] if e["kind"] != "task"]  # what was on the list is ticked off with it
        assert bare(only({**reply, "events": done})) == {
            "kind": "sand",
            "piece": name,
            "grit": 240,
            "at": "2026-03-18T14:00:00+00:00",
        }
