"""Whether words ask: a question word, an auxiliary before its subject, a question mark, "tell me ..."."""

from __future__ import annotations

from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.groups import groups_at
from assistant.language.predicates import BE, DO, HAVE, MODAL

ASKING: Final = frozenset(["what", "which", "how", "why", "where", "who", "whose", "when"])
INVERTS: Final = (BE.keys() | HAVE.keys() | DO.keys() | MODAL.keys()) - {
    "'s", "be", "been", "being", "having", "'ve", "'re", "'ll", "'d", "gotta",
}  # fmt: skip
SUBJECTS: Final = frozenset(
    ["i", "we", "it", "that", "this", "there", "he", "she", "they", "you", "those", "these", "them"]
)
_JOINTS: Final = frozenset(["and", "then", "but", "so", "or", "plus", "also", "n"])
_TELL_ME: Final = frozenset(["tell", "show", "read", "list", "give", "remind", "explain"])
_WRITING: Final = frozenset(["put", "log", "note", "record", "write", "mark", "enter", "jot", "stick", "pop"])
_EXCLAIMS: Final = frozenset(["a", "an"])


def requested(phrase: Phrase, i: int, j: int) -> bool:
    """Whether words ask for something to be written down: "can you put down a second coat on ..."."""
    for k in range(i, min(i + 5, j - 2)):
        if phrase.at(k) in ("can", "could", "would", "will") and phrase.at(k + 1) == "you":
            return phrase.at(k + 2 + (phrase.at(k + 2) == "please")) in _WRITING
    return False


def asks(phrase: Phrase, i: int, j: int, *, last: bool) -> bool:
    """Whether the words ``i`` up to ``j`` ask; ``last``: they are a fragment, and nothing follows them."""
    if "?" in phrase.words[i:j]:
        # the mark is the last clause's: what stands before it may be told
        return not any(_parts_at(phrase, k) and asks(phrase, k, j - 1, last=False) for k in range(i + 1, j - 1))
    if _polar(phrase, i, j) or _weighed(phrase, i, j):
        return True
    start = i
    while i < j:
        idle = phrase.function(i, "interjection", "politeness", "discourse")
        if phrase.at(i) in ASKING | INVERTS and (idle is None or idle.j == i + 1):
            break
        if idle is None and phrase.kinds[i] != "mark" and phrase.at(i) not in _JOINTS:
            break
        i = idle.j if idle is not None else i + 1
    word, then = phrase.at(i), phrase.at(i + 1)
    if j - i > 1 and phrase.at(j - 1) in ("when", "why", "where", "how"):
        return True  # "hatch trim sand when"
    if word in ("what", "how", "why", "which", "who", "whose", "where"):
        return not (word == "what" and then in _EXCLAIMS)
    if word == "when":
        return then in INVERTS or (last and start == 0)
    if any(phrase.at(k) == "how" and phrase.at(k + 1) in ("much", "many", "long") for k in range(i, j)):
        return True
    if word in INVERTS and i < j - 1 and (i == 0 or i > start or _parts_at(phrase, i)):
        return _inverted(phrase, i, j)
    told = word in _TELL_ME and then in ("me", "us") and phrase.at(i + 2) != "to"
    return told and phrase.at(i + 2) in ASKING | {"the", "if", "about", "back", "today", "my"}


def _weighed(phrase: Phrase, i: int, j: int) -> bool:
    """Whether words weigh what could be done: "safe to sand it", "better to do the hatch", "latest I can leave it".

    Nobody tells of work in this form: an adjective with a plain infinitive, a superlative with a modal after it.
    """
    while i < j and (phrase.kinds[i] == "mark" or phrase.at(i) in _JOINTS):
        i += 1
    lead = phrase.of(i, Cat.DESCRIBING)
    for c in lead:
        if c.value.sense == "opinion" and c.i == i and phrase.at(c.j) == "to":
            return any("VB" in f.tags for v in phrase.of(c.j + 1, Cat.VERB) for f in v.value)
    if phrase.at(i) in _WEIGHED and phrase.at(i + 1) == "to":
        return True
    most = phrase.at(i) in ("most", "least", "latest", "last", "best") or phrase.at(i).endswith("est")
    return most and any(
        phrase.at(k) in ("i", "we", "you", "it") and phrase.at(k + 1) in MODAL for k in range(i + 1, min(j, i + 5))
    )  # fmt: skip


_WEIGHED: Final = frozenset(
    ["better", "best", "safe", "ok", "okay", "alright", "right", "fine", "worth", "wise", "quicker"]
)


def _polar(phrase: Phrase, i: int, j: int) -> bool:
    """Whether words hold "anything", "any" or a last "yet": plain telling has them only beside "not" or "if"."""
    words = phrase.words[i:j]
    if _LICENSING & set(words):
        return False
    end = next((k for k in range(len(words) - 1, -1, -1) if phrase.kinds[i + k] != "mark"), -1)
    if end > 0 and words[end] == "yet":
        past = any("VBD" in f.tags for k in range(i, j) for c in phrase.of(k, Cat.VERB) for f in c.value)
        if not past:
            return True
    return any(w in _ANY or (w == "any" and phrase.at(i + k + 1) not in _IDLE_ANY) for k, w in enumerate(words))


_ANY: Final = frozenset(["anything", "anyone", "anybody", "anywhere", "owt"])
_IDLE_ANY: Final = frozenset(["way", "road", "rate", "case", "how", "more", "old"])
#: What lets "any" stand in a sentence that is no question.
_LICENSING: Final = frozenset([
    "not", "never", "n't", "no", "nae", "hardly", "without", "before", "if",
    "unless", "whether", "than", "too", "cannot", "neither", "nor", "ain't", "int",
    "nobody", "nothing", "none", "says", "said", "like", "still",
])  # fmt: skip


def _parts_at(phrase: Phrase, k: int) -> bool:
    return phrase.kinds[k - 1] == "mark" or phrase.at(k) in _JOINTS


def _inverted(phrase: Phrase, i: int, j: int) -> bool:
    """Whether an auxiliary at word ``i`` stands before its subject."""
    word, then = phrase.at(i), phrase.at(i + 1)
    if then == "not":
        then = phrase.at(i + 2)
        if then not in SUBJECTS and not any(phrase.of(i + 2, Cat.NAME)):
            return False  # "couldn't sleep"
    if then in SUBJECTS | {"anything", "everything"} - {"them"}:
        return not (word in HAVE and then in ("it", "that", "this", "those", "these"))
    if word in ("have", "had", "having", "been", "being", "be", "do", "does") and not (
        word == "does" and any(phrase.of(i + 1, Cat.NAME))
    ):
        return False
    if word == "did":  # "did the second coat" tells; "did the coat dry" asks
        return any(
            "VB" in f.tags
            for g in groups_at(phrase, i + 1)
            if g.j < j
            for c in phrase.of(g.j, Cat.VERB)
            for f in c.value
        )
    if word == "can" and then == "of":
        return False
    modal = word in MODAL
    return not (modal and any(phrase.of(i + 1, Cat.VERB)) and not any(phrase.of(i + 1, Cat.NAME)))
