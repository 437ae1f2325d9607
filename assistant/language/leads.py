"""What stands round the telling and is not told: pauses, requests, "no, hang on", "..., haven't I"."""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Phrase
from assistant.language.meanings import (
    Note,
)
from assistant.language.questions import SUBJECTS, requested
from assistant.language.slips import denies_a_thing
from assistant.language.tokens import Token

_NOTING: Final = frozenset(["note", "memo"])


#: What no comma follows but round a pause.
_OPEN: Final = frozenset(["the", "a", "an", "of", "on", "at", "with", "to", "in", "my"])


_PAUSES: Final = frozenset(["um", "umm", "er", "err", "erm", "erh", "uh", "uhm", "ah", "hmm"])


def without_pauses(phrase: Phrase) -> list[Token]:
    """Give the words without pauses and without what was said twice in a row."""
    toks = phrase.tokens
    toks = [
        t
        for k, t in enumerate(toks)
        if not (t.text == "," and 0 < k < len(toks) - 1 and toks[k + 1].text in _PAUSES and toks[k - 1].text in _OPEN)
        and not (t.text == "," and k > 1 and toks[k - 1].text in _PAUSES)
    ]  # "on the, um, board"
    return [
        t
        for k, t in enumerate(toks)
        if t.text not in _PAUSES
        and not (k and t.kind == "word" and t.text == toks[k - 1].text and t.text not in ("that", "had", "ten"))
    ]


def note_in(phrase: Phrase) -> Note | None:
    """Take "note ..." as it stands."""
    k = 0
    while k < len(phrase) and (
        phrase.kinds[k] == "mark" or phrase.function(k, "interjection", "politeness", "discourse")
    ):
        k += 1
    if phrase.at(k) in ("make", "take", "add", "write", "leave") and phrase.at(k + 1) == "a":
        k += 2
    if phrase.at(k) in ("write", "jot", "mark") and "down" in phrase.words[k + 1 : k + 4]:
        k = phrase.words.index("down", k)
    elif phrase.at(k) not in _NOTING and not (phrase.at(k) == "quick" and phrase.at(k + 1) in _NOTING):
        return None
    k += 1 + (phrase.at(k) == "quick")
    while phrase.at(k) in ("to", "self", "that", ":", ",", "me"):
        k += 1
    text = phrase.text[phrase.tokens[k].start :].strip() if k < len(phrase) else ""
    return Note(text=text, words=phrase.text) if text else None


def tag_question(phrase: Phrase, auxiliaries: frozenset[str]) -> int:
    """Give where a tag question with one of ``auxiliaries`` begins ("..., haven't I"); 0 if there is none."""
    end = len(phrase)
    while end and phrase.kinds[end - 1] == "mark":
        end -= 1
    for length in (3, 2):
        start = end - length
        tail = phrase.words[start:end] if start > 2 else []
        if not tail or tail[-1] not in SUBJECTS or tail[0] not in auxiliaries or (length == 3 and tail[1] != "not"):
            continue
        if length == 3 or phrase.words[start - 1] == ",":
            return start
    return 0


#: "..., isn't it": the speaker is not sure, and asks.
UNSURE: Final = frozenset(["is", "are", "does", "do", "can", "will", "would", "should"])


#: "..., haven't I": it only wants to be agreed with.
AGREED: Final = frozenset(["did", "have", "has", "had", "was", "were"])


def request(phrase: Phrase) -> int:
    """Give how many words at its head only ask for the rest to be written down: "could you log that ..."."""
    if not requested(phrase, 0, len(phrase)):
        return 0
    k = phrase.words.index("you") + 1
    k += phrase.at(k) == "please"
    k += 1
    while phrase.at(k) in ("down", "in", "up", "for", "me", "us", "that", "this", ","):
        k += 1
    return k if k < len(phrase) else 0


_LEADS: Final = tuple(
    tuple(w.split())
    for w in (
        "i tell a lie",
        "tell a lie",
        "my mistake",
        "i am wrong",
        "i was wrong",
        "hang on",
        "hold on",
        "scratch that",
        "i mean",
        "no",
        "nope",
        "sorry",
        "wait",
        "correction",
        "oops",
        "nah",
        "actually",
        "oh",
        "er",
        "um",
    )
)


def words_taking_back(phrase: Phrase) -> int:
    """Give how many words a phrase begins with that take back what was said: "no, hang on, ...". 0 if there is none."""
    k, taken = 0, False
    while k < len(phrase):
        if phrase.kinds[k] == "mark" or phrase.words[k] in ("right", "ok", "so", "well", "and", "oh"):
            k += 1
            continue
        lead = next((w for w in _LEADS if tuple(phrase.words[k : k + len(w)]) == w), None)
        if lead is None:
            break
        again = any(tuple(phrase.words[k + 1 : k + 1 + len(w)]) == w for w in _LEADS)
        after = k + len(lead)
        if lead == ("scratch", "that") and after < len(phrase) and phrase.kinds[after] != "mark":
            break  # "scratch that sanding": what is taken back is named
        if lead == ("no",) and phrase.at(k - 1) == "oh" and not taken:
            return 0  # "oh no, there's a run": dismay
        if lead == ("no",) and phrase.at(k + 1) not in (",", "") and not again and denies_a_thing(phrase, k + 1):
            break
        taken = taken or lead not in (("oh",), ("er",), ("um",))
        k += len(lead)
    return k if taken and 0 < k < len(phrase) else 0
