"""What a question's words are, each in every way that it may be: verbs by sense, nouns by what they name, plain forms.

A cue is one such way with the words it stands on. Which of them count is decided by the table of what can be asked.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field
from functools import cache
from typing import Final

from assistant import data
from assistant.language.asking.lists import listed
from assistant.language.chunks import Cat, Phrase
from assistant.language.predicates import DO, MODAL
from assistant.language.wordlist import wordlist

#: After one of these a word that may be a verb is one.
_BEFORE_VERB: Final = listed("cues_before_verb")
_BEFORE_NOUN: Final = listed("cues_before_noun")
#: So far behind its verb a particle may stand: "flat the hatch trim back".
_REACH: Final = 7
_MOVABLE: Final = frozenset(["off", "on", "up", "down", "back", "out", "over", "in", "away", "again", "round"])
_AFTERWARDS: Final = listed("cues_afterwards")
#: Verbs that lay a coat only where a coat or a product is their object: "get on with it" is no coat.
_LIGHT: Final = frozenset(["get", "have", "put", "stick", "go", "be", "lay", "bung", "pop", "do", "make", "take"])
_SENSELESS: Final = frozenset(["be", "other"])
_CONTRACTED: Final = {
    "n't": "not",
    "'ll": "will",
    "'d": "would",
    "'re": "be",
    "'m": "be",
    "'ve": "have",
    "wo": "will",
    "ca": "can",
}
_IRREGULAR: Final = {
    "is": "be",
    "are": "be",
    "was": "be",
    "were": "be",
    "am": "be",
    "been": "be",
    "being": "be",
    "has": "have",
    "had": "have",
    "does": "do",
    "did": "do",
    "done": "do",
    "doing": "do",
    "whats": "what",
    "hows": "how",
    "whens": "when",
}


@dataclass(slots=True)
class Cues:
    """The cues of a phrase: by name, the words that each stands on."""

    spans: dict[str, list[frozenset[int]]] = field(default_factory=lambda: defaultdict(list))
    lemmas: frozenset[str] = frozenset()
    verbs: frozenset[int] = frozenset()  # words that are verbs where they stand

    def put(self, name: str, *words: int) -> None:
        """Note a cue."""
        span = frozenset(words)
        if span not in self.spans[name]:
            self.spans[name].append(span)

    def has(self, *names: str) -> bool:
        """Whether any of these cues is there."""
        return any(self.spans.get(n) for n in names)

    def hide(self, names: frozenset[int]) -> None:
        """Take out what stands only on the words of a thing's name: the treads are no treading."""
        for name, spans in list(self.spans.items()):
            kept = [s for s in spans if not s or not s <= names]
            if kept:
                self.spans[name] = kept
            else:
                del self.spans[name]

    def words(self, *names: str) -> frozenset[int]:
        """Give the words that these cues stand on."""
        return frozenset(i for n in names for span in self.spans.get(n, ()) for i in span)

    def first(self, *names: str) -> int | None:
        """Give the first word of the first of these cues."""
        return min(self.words(*names), default=None)


def cues_of(phrase: Phrase) -> Cues:
    """Find the cues of a phrase."""
    out = Cues()
    lemmas: set[str] = set()
    verbs: set[int] = set()
    for i, word in enumerate(phrase.words):
        if phrase.kinds[i] == "mark":
            continue
        plain = _CONTRACTED.get(word, _IRREGULAR.get(word, word))
        lemmas |= {word, plain}
        out.put(f"word.{plain}", i)
        out.put(f"word.{word}", i)
        same = alike().get(word) or alike().get(phrase.tokens[i].text.casefold())
        if same:
            lemmas |= {same}
            out.put(f"word.{same}", i)
        if _verbal(phrase, i):
            verbs.add(i)
        _entries(phrase, i, out, lemmas, verb=i in verbs)
        _verbs(phrase, i, out, lemmas, noun=i not in verbs)
    out.lemmas, out.verbs = frozenset(lemmas), frozenset(verbs)
    return out


@cache
def alike() -> dict[str, str]:
    """Give the words that are taken as another one: question words as people spell them, adjectives of a fault."""
    table: dict[str, str] = data.read_toml(data.root() / "grammars" / "questions.toml")["alike"]
    return table


def _entries(phrase: Phrase, i: int, out: Cues, lemmas: set[str], *, verb: bool) -> None:
    modal = phrase.words[i] in MODAL and phrase.at(i - 1) not in ("a", "the", "spray", "of", "paint")
    for c in phrase.chunks[i]:
        if c.cat not in (Cat.NOUN, Cat.DESCRIBING, Cat.FUNCTION):
            continue
        if c.cat is Cat.NOUN and c.j == i + 1 and (modal or (verb and not phrase.words[i].endswith("ing"))):
            continue
        entry, span = c.value, range(c.i, c.j)
        lemmas.add(entry.lemma)
        out.put(f"word.{entry.lemma}", *span)
        name = {Cat.NOUN: "noun", Cat.DESCRIBING: "is", Cat.FUNCTION: "fn"}[c.cat]
        head = "is" if entry.sense == "state" else f"{name}.{entry.sense}"
        if entry.sense != "state":
            out.put(head, *span)
        if entry.value:
            out.put(f"{head}.{entry.value}", *span)


def _verbs(phrase: Phrase, i: int, out: Cues, lemmas: set[str], *, noun: bool) -> None:
    for c in phrase.of(i, Cat.VERB):
        for form in c.value:
            lemmas.add(form.lemma)
            out.put(f"word.{form.lemma}", i)
            if noun and phrase.at(i - 1) in _BEFORE_NOUN and "VBG" not in form.tags:
                continue
            uses = wordlist().uses(form.lemma)
            both = {u.particles for u in uses if u.sense == "coat"} & {u.particles for u in uses if u.sense == "sand"}
            for use in uses:
                at = _particles(phrase, i, use.particles)
                if at is None or use.sense in _SENSELESS:
                    continue
                again = form.lemma == "go" and use.particles == ("over",) and not _abrasive(phrase)
                if again:
                    out.put("do.coat", i, *at)
                    continue
                light = form.lemma in _LIGHT
                if (use.sense in ("coat", "retouch") and light) or (
                    use.sense == "sand" and use.particles in both and not _abrasive(phrase)
                ):
                    continue
                if use.particles:
                    lemmas.add(" ".join((form.lemma, *use.particles)))
                    out.put(f"word.{' '.join((form.lemma, *use.particles))}", i, *at)
                out.put(f"do.{use.sense}", i, *at)


def _abrasive(phrase: Phrase) -> bool:
    """Whether paper, a grit or a sander is named: "go over it with 240"."""
    return (
        any(c.value.sense in ("abrasive", "tool") for i in range(len(phrase)) for c in phrase.of(i, Cat.NOUN))
        or "number" in phrase.kinds
    )


def _particles(phrase: Phrase, i: int, particles: tuple[str, ...]) -> tuple[int, ...] | None:
    """Give where a verb's particles stand: right after it, or a single movable one after its object."""
    if not particles:
        return ()
    end = i + 1 + len(particles)
    if tuple(phrase.words[i + 1 : end]) == particles:
        if particles == ("in",) and phrase.at(end) in ("the", "my", "our", "that", "this"):
            return None  # "touch in the fore cabin"
        return tuple(range(i + 1, end))
    if len(particles) == 1 and particles[0] in _MOVABLE:
        for k in range(i + 2, min(i + _REACH, len(phrase))):
            if phrase.kinds[k] == "mark":
                return None
            if phrase.words[k] == particles[0]:
                after = phrase.at(k + 1)
                ends = k + 1 >= len(phrase) or phrase.kinds[k + 1] == "mark" or after in _AFTERWARDS
                return (k,) if ends and phrase.at(k - 1) not in ("going", "be") else None
    return None


def _verbal(phrase: Phrase, i: int) -> bool:
    """Whether a word that may be a verb is one where it stands: "can I varnish it", not "how much varnish"."""
    if not any(True for _ in phrase.of(i, Cat.VERB)):
        return False
    tags = frozenset(t for c in phrase.of(i, Cat.VERB) for f in c.value for t in f.tags)
    before = phrase.at(i - 1)
    if before in _BEFORE_NOUN:
        return False
    named = any(c.value.kind == "product" for c in phrase.of(i, Cat.NAME))
    if (
        named
        and (before in MODAL or before in DO)
        and any(f.tags & {"VB"} for c in phrase.of(i + 1, Cat.VERB) for f in c.value)
    ):
        return False  # "will gloss stick to it"
    if named and before in ("and", "or") and i + 1 >= len([k for k in phrase.kinds if k != "mark"]):
        return False  # "and undercoat?"
    if before in _BEFORE_VERB or phrase.words[i].endswith("ing") or (tags & {"VBD", "VBN"} and "VB" not in tags):
        return True
    return (i == 0 or phrase.kinds[i - 1] == "mark") and phrase.at(i + 1) in (
        "the",
        "it",
        "that",
        "this",
        "my",
        "both",
        "all",
    )
