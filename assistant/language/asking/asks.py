"""Whether a phrase asks, tells or orders, and whether it asks the trade or this job."""

from __future__ import annotations

from typing import Final

from assistant.language.asking.cues import Cues
from assistant.language.asking.table import Fit
from assistant.language.chunks import Cat, Phrase
from assistant.language.predicates import BE, HAVE
from assistant.language.query import Property


def choice(phrase: Phrase, cues: Cues) -> bool:
    """Whether one of two tools is to be chosen: "brush or roller for the gloss"."""
    return "or" in phrase.words and cues.has("noun.tool", "noun.abrasive") and not cues.has("tense.past")


def general_(phrase: Phrase, cues: Cues) -> bool:
    """Whether the trade is asked rather than this job: "how do I", "what causes", "brush or roller"."""
    if cues.has("has.amount", "has.percent", "has.ratio"):
        return False
    of_faults = cues.has("ask.why", "ask.which-what") and cues.has(
        "noun.fault", "is.bloomed", "is.damaged", "word.cause", "word.difference"
    )
    return (
        cues.has("ask.how-do") or choice(phrase, cues) or of_faults or (cues.has("ask.why") and cues.has("has.product"))
    )


def verbless(phrase: Phrase, best: Fit, cues: Cues) -> bool:
    """Whether a phrase without the form of a question asks all the same: "hardener for 45 mil resin"."""
    if tells(phrase):
        return False
    if "when" in phrase.words:
        return True
    what = best.row.what
    if what is Property.MIX:
        return cues.has("has.component") or (cues.has("word.want", "word.need") and cues.has("has.amount"))
    if what is Property.THIN:
        return (
            cues.has("of.thinner", "noun.thinner") and cues.has("has.amount") and not cues.has("has.piece", "noun.coat")
        )
    if what in (Property.CONVERT, Property.DEW, Property.DIARY):
        return True
    if what is Property.COVER:
        return cues.has("word.quantity", "word.amount") and cues.has("has.piece", "has.area")
    return what is Property.STATUS and not cues.has("has.time", "has.product")


_HELPS: Final = frozenset([*BE, *HAVE, "get", "gets", "getting", "got", "to", "be"])


def tells(phrase: Phrase) -> bool:
    """Whether a phrase tells of work or of how things are: a past form with no auxiliary, or "it is ..."."""
    for i, word in enumerate(phrase.words):
        tags = frozenset(t for c in phrase.of(i, Cat.VERB) for f in c.value for t in f.tags)
        past = bool(tags & {"VBD", "VBN"}) and ("VB" not in tags or phrase.at(i - 1) in ("i", "we"))
        if past and phrase.at(i - 1) not in ("the", "a") and not _HELPS & set(phrase.words[max(0, i - 7) : i]):
            loose = word in ("mixed", "thinned", "left") and i > 0 and phrase.at(i - 1) not in ("i", "we")
            if not loose:
                return True
        if (
            word in BE
            and word not in ("be", "been", "being")
            and i
            and phrase.at(i - 1) not in ("what", "how", "when", "where", "which", "why", "who", "and", "so")
        ):
            return True
        if word in ("'m", "'ve", "i'm"):
            return True
    return False


def orders(phrase: Phrase, cues: Cues) -> bool:
    """Whether something is to be put down: "could you log that I ...", "don't let me forget to ..."."""
    names = ("do.add-list", "do.remind", "do.remember", "do.forget")
    verbs = [i for i in cues.words(*names) if i in cues.verbs or i == 0 or phrase.at(i - 1) in ("me", "to", "you")]
    to_do = any(
        phrase.words[i] in ("log", "note", "add", "record", "remind", "remember", "forget", "put", "jot", "write")
        for i in verbs
    )
    asked_of_me = "you" in phrase.words or verbs[:1] == [0] or "let" in phrase.words or "must" in phrase.words
    return to_do and asked_of_me and not cues.has("ask.when", "ask.which-what", "ask.how", "ask.why")
