"""What is put on the list, ticked off or taken off it, in free words: "add order hinges to the list".

What stands between the verb and its tail may be any words at all, verbs among them, so it is not read as a clause.
"""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.meanings import Errand, Force
from assistant.language.wordlist import wordlist

#: The words that end such an order: "to the list", "on my job list", "off", "off the list", "as done".
_TO: Final = frozenset(["to", "on", "onto", "in", "down"])
_OFF: Final = frozenset(["off", "from", "out"])
_LISTS: Final = frozenset(["list", "lists", "plan", "jobs"])
_BEFORE_LIST: Final = frozenset(["the", "my", "our", "that", "job", "to", "do", "shopping", "snag", "work", "snagging"])


def list_talk(phrase: Phrase) -> Errand | None:
    """Give what is put on the list, ticked off or dropped by a phrase that does only that; None if it is not so."""
    k = 0
    while k < len(phrase) and (
        phrase.kinds[k] == "mark" or phrase.function(k, "interjection", "politeness", "discourse", "conjunction")
    ):
        k += 1
    lemmas = {f.lemma for c in phrase.of(k, Cat.VERB) for f in c.value if "VB" in f.tags}
    if not lemmas:
        return None
    senses = {u.sense for lemma in lemmas for u in wordlist().uses(lemma)}
    end, tail = _tail(phrase)
    start = k + 1
    while phrase.at(start) in (":", ",", "a", "another", "new", "job", "task", "reminder") and start < end:
        start += 1
    text = phrase.said(start, end)
    if not text or _refers(phrase, start, end):
        return None
    if "tick-off" in senses and tail in ("off", "off list", "done"):
        return Errand(text=text, force=Force.DONE, words=phrase.text)
    if tail == "off list" and lemmas & {"take", "drop", "strike", "cross", "remove", "knock", "get", "scrub"}:
        return Errand(text=text, force=Force.ORDERED, dropped=True, words=phrase.text)
    adds = "add-list" in senses and (tail == "list" or (lemmas & {"add"} and _begins_work(phrase, start)))
    return Errand(text=text, force=Force.ORDERED, words=phrase.text) if adds else None


def _begins_work(phrase: Phrase, i: int) -> bool:
    """Whether a plain verb stands at word ``i``: "add buy rags"."""
    return any("VB" in f.tags for c in phrase.of(i, Cat.VERB) for f in c.value) and not any(phrase.of(i, Cat.MEASURE))


def _refers(phrase: Phrase, start: int, end: int) -> bool:
    """Whether what is to be listed is only "it" or "that": then it is what was told before."""
    return end - start <= 2 and phrase.at(start) in ("it", "that", "this", "them", "those")


def _tail(phrase: Phrase) -> tuple[int, str]:
    """Give where the tail begins and what it is: "list", "off list", "off", "done" or ""."""
    end = len(phrase)
    while end and (phrase.kinds[end - 1] == "mark" or phrase.function(end - 1, "politeness", "interjection")):
        end -= 1
    if end and phrase.at(end - 1) in _LISTS:
        k = end - 1
        while k and phrase.at(k - 1) in _BEFORE_LIST and not (phrase.at(k - 1) == "to" and phrase.at(k) != "do"):
            k -= 1
        if phrase.at(k - 1) in _TO:
            return k - 1, "list"
        if phrase.at(k - 1) in _OFF:
            return k - 1 - (phrase.at(k - 2) == "off"), "off list"
    if phrase.at(end - 1) == "off":
        return end - 1, "off"
    if phrase.at(end - 1) == "done":
        return end - 1 - (phrase.at(end - 2) == "as"), "done"
    return end, ""
