"""Verb groups: auxiliaries, negation, the verbs that stand over others ("started", "need to"), and the verb itself.

The form of the whole decides what is done by saying it: "primed" and "have primed" tell of work done, "was priming"
of work under way, "will prime" and "needs priming" of work to come, "should have primed" of a wish, "didn't prime"
denies.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

from assistant.language.chunks import Cat, Phrase
from assistant.language.meanings import Force
from assistant.language.wordlist import VerbForm, wordlist


@dataclass(frozen=True, slots=True)
class VerbGroup:
    """Words ``i`` up to ``j`` as one verb group; ``main`` is the verb's own word, -1 for a mere "be" or "have".

    ``forms`` are what that word may be; ``force`` is what the group does without regard to its subject.
    """

    i: int
    j: int
    main: int
    forms: tuple[VerbForm, ...]
    force: Force
    finite: bool = False  # it needs a subject ("is drying"), or has one inside
    passive: bool = False
    past: bool = False
    present: bool = False
    negative: bool = False
    base: bool = False  # plain form alone: an order, or a past that looks the same ("put")
    participle: bool = False  # a past form with no auxiliary: "primed" may be active or passive
    progressive: bool = False
    infinitive: bool = False
    copula: str = ""  # "be" or "have" as the verb itself
    operators: tuple[str, ...] = ()
    skipped: tuple[int, ...] = ()  # words inside that are adverbs
    doubt: float = 0.0

    @property
    def tags(self) -> frozenset[str]:
        """Give every tag that the main word may have."""
        return frozenset(t for f in self.forms for t in f.tags)


BE: Final = {
    "am": "present",
    "is": "present",
    "are": "present",
    "was": "past",
    "were": "past",
    "be": "base",
    "been": "participle",
    "being": "progressive",
    "'s": "present",
    "ain't": "present",
    "'re": "present",
    "int": "present",
}
HAVE: Final = {"have": "present", "has": "present", "had": "past", "having": "progressive", "'ve": "present"}
DO: Final = {"do": "present", "does": "present", "did": "past"}
MODAL: Final = {
    "will": Force.MEANT,
    "shall": Force.MEANT,
    "'ll": Force.MEANT,
    "would": Force.SUPPOSED,
    "could": Force.SUPPOSED,
    "can": Force.SUPPOSED,
    "may": Force.SUPPOSED,
    "might": Force.SUPPOSED,
    "should": Force.WISHED,
    "ought": Force.WISHED,
    "must": Force.ORDERED,
    "gonna": Force.MEANT,
    "wanna": Force.WISHED,
    "gotta": Force.ORDERED,
    "'d": Force.WISHED,
}
_NOT: Final = frozenset(["not", "never", "n't", "nae", "hardly", "barely"])
#: Words inside a verb group that change nothing of it.
_WITHIN: Final = frozenset(
    [
        "just",
        "only",
        "already",
        "also",
        "now",
        "then",
        "still",
        "finally",
        "even",
        "really",
        "actually",
        "since",
        "at",
        "last",
        "properly",
        "all",
        "both",
        "yet",
        "quickly",
        "gone",
        "always",
        "usually",
        "probably",
        "definitely",
        "certainly",
        "only",
        "again",
    ]
)
#: Verbs over verbs, by sense: what the verb after them then is, when the whole would tell of work done.
OPERATORS: Final = {
    "start": Force.UNDERWAY,
    "carry-on": Force.UNDERWAY,
    "finish": Force.DONE,
    "stop": Force.DONE,
    "manage": Force.DONE,
    "plan": Force.MEANT,
    "decide": Force.MEANT,
    "hope": Force.WISHED,
    "want": Force.WISHED,
    "wish": Force.WISHED,
    "need": Force.ORDERED,
    "deserve": Force.ORDERED,
    "try": Force.SUPPOSED,
    "remember": Force.DONE,
    "forget": Force.DENIED,
    "remind": Force.ORDERED,
    "think": Force.SUPPOSED,
    "postpone": Force.MEANT,
    "give-up": Force.DENIED,
    "like": Force.WISHED,
    "mean": Force.MEANT,
    "say": Force.REPORTED,
}
_LIGHT: Final = frozenset(["go", "come", "get", "end", "keep", "let", "help"])


def verb_groups_at(phrase: Phrase, i: int) -> list[VerbGroup]:
    """Give the verb groups that start at word ``i``, the longest first."""
    start = VerbGroup(i, i, -1, (), Force.DONE)
    out: list[VerbGroup] = []
    _grow(phrase, start, "", out, 0)
    best: dict[tuple[int, int, str, tuple[str, ...]], VerbGroup] = {}
    for g in out:
        best.setdefault((g.j, g.main, g.copula, g.operators), g)
    return sorted(best.values(), key=lambda g: -g.j)


def _grow(phrase: Phrase, g: VerbGroup, need: str, out: list[VerbGroup], depth: int) -> None:
    """Go on with a verb group at its end; ``need`` is the form that the auxiliary before asks for."""
    j = g.j
    if j >= len(phrase) or depth > 9:
        return
    word = phrase.at(j)
    if g.j > g.i and word in _NOT:
        _grow(phrase, replace(g, j=j + 1, negative=True, skipped=(*g.skipped, j)), need, out, depth + 1)
        return
    if g.j == g.i and word in ("never", "not") and phrase.at(j + 1) not in ("", ",", "?"):
        _grow(phrase, replace(g, j=j + 1, negative=True, skipped=(*g.skipped, j)), need, out, depth + 1)
    if g.j > g.i and (word in _WITHIN or _adverb(phrase, j)) and need:
        _grow(phrase, replace(g, j=j + 1, skipped=(*g.skipped, j)), need, out, depth + 1)
    if word == "to" and need in ("to", "to?"):
        _grow(phrase, replace(g, j=j + 1), "base", out, depth + 1)
        return
    if word == "to" and g.j == g.i and depth == 0:
        _grow(phrase, replace(g, j=j + 1, infinitive=True, force=Force.MEANT), "base", out, depth + 1)
        return
    _auxiliary(phrase, g, word, need, out, depth)
    _verb(phrase, g, need, out, depth)


def _adverb(phrase: Phrase, i: int) -> bool:
    return phrase.at(i).endswith("ly") or any(
        c.value.sense in ("manner", "frequency", "again", "only", "hedge") and c.j == i + 1
        for c in phrase.of(i, Cat.DESCRIBING)
    )


def _auxiliary(phrase: Phrase, g: VerbGroup, word: str, need: str, out: list[VerbGroup], depth: int) -> None:
    j, first = g.j, g.main == -1 and not g.operators and g.j == g.i + len(g.skipped)
    deeper = depth + 1
    if word in BE and (need in ("", "base", "to?", "participle", "ing?", "ing") or first):
        how = BE[word]
        if not first and need == "base" and how != "base":
            return
        now = replace(
            g, j=j + 1, copula="be", past=g.past or how == "past", present=g.present or how == "present",
            finite=g.finite or how in ("past", "present"),
        )  # fmt: skip
        out.append(replace(now, main=-1))
        _grow(phrase, now, "be", out, deeper)
        if phrase.at(j + 1) in ("going", "gonna", "about", "due", "supposed", "meant", "to", "off") and how in (
            "present",
            "past",
        ):
            k = j + 1 + (phrase.at(j + 1) != "to")
            if phrase.at(k) == "to" or phrase.at(j + 1) == "gonna":
                to = replace(now, j=k, copula="", force=Force.WISHED if how == "past" else Force.MEANT)
                _grow(phrase, to, "base" if phrase.at(j + 1) == "gonna" else "to", out, deeper)
        return
    if word in HAVE and need in ("", "base", "to?", "ing?", "ing"):
        how = HAVE[word]
        now = replace(
            g, j=j + 1, copula="have", past=g.past or how == "past", present=g.present or how == "present",
            finite=g.finite or how != "progressive",
        )  # fmt: skip
        out.append(replace(now, main=j, forms=(VerbForm("have", frozenset(["VBD" if how == "past" else "VBP"])),)))
        if phrase.at(j + 1) == "to" or (phrase.at(j + 1) in ("got", "gotta") and phrase.at(j + 2) == "to"):
            at = j + 1 + (phrase.at(j + 1) == "got")
            force = g.force if how == "past" and g.force is Force.DONE else Force.ORDERED
            _grow(phrase, replace(now, j=at, copula="", force=force), "to", out, deeper)
        _grow(phrase, replace(now, copula=""), "participle", out, deeper)
        return
    if word in DO and first:
        how = DO[word]
        now = replace(g, j=j + 1, past=how == "past", present=how == "present", finite=True)
        _grow(phrase, now, "base", out, deeper)
    if word in MODAL and (first or need == "base"):
        now = replace(g, j=j + 1, force=MODAL[word], finite=True, present=True)
        if word == "could" and phrase.at(j + 1) == "do" and phrase.at(j + 2) == "with":
            _grow(phrase, replace(now, j=j + 3, force=Force.ORDERED, operators=("need",)), "ing", out, deeper)
        _grow(phrase, now, "to?" if word in ("ought", "wanna") else "base", out, deeper)
        if word in ("would", "'d"):  # "I'd" is also "I had"
            _grow(phrase, replace(g, j=j + 1, finite=True, past=True), "participle", out, deeper)
    elif word == "to" and need == "be":
        _grow(phrase, replace(g, j=j + 1, force=Force.MEANT), "base", out, deeper)


_FITS: Final = {
    "": frozenset(["VBD", "VBN", "VBG", "VB", "VBZ"]),
    "base": frozenset(["VB"]),
    "to": frozenset[str](),
    "to?": frozenset(["VB"]),
    "be": frozenset(["VBN", "VBG"]),
    "participle": frozenset(["VBN", "VBD"]),
    "ing": frozenset(["VBG"]),
    "ing?": frozenset(["VBG"]),
}


def _verb(phrase: Phrase, g: VerbGroup, need: str, out: list[VerbGroup], depth: int) -> None:
    j = g.j
    for c in phrase.of(j, Cat.VERB):
        forms = tuple(replace_tags for f in c.value if (replace_tags := VerbForm(f.lemma, f.tags & _FITS[need])).tags)
        if not forms:
            continue
        tags = frozenset(t for f in forms for t in f.tags)
        done = _with_form(replace(g, j=c.j, main=j, forms=forms, copula="", doubt=c.doubt), need, tags)
        out.append(done)
        _operator(phrase, done, out, depth)


def _with_form(g: VerbGroup, need: str, tags: frozenset[str]) -> VerbGroup:
    """Give what the form of the verb makes of the group."""
    if need == "be":
        if "VBN" in tags and "VBG" not in tags:
            return replace(g, passive=True)
        return replace(g, progressive=True, force=Force.UNDERWAY if g.force is Force.DONE else g.force)
    if need == "":
        if tags & {"VBD", "VBN"}:
            return replace(g, participle=True, past=True, base="VB" in tags)
        if "VBG" in tags:
            return replace(g, progressive=True, force=Force.UNDERWAY if g.force is Force.DONE else g.force)
        if all(f.lemma == "be" for f in g.forms):
            return replace(g, present=True, finite=True)
        if "VBZ" in tags:
            return replace(g, present=True, finite=True, force=Force.MEANT if g.force is Force.DONE else g.force)
        return replace(g, base=True, present=True, force=Force.ORDERED if g.force is Force.DONE else g.force)
    return g


def _operator(phrase: Phrase, g: VerbGroup, out: list[VerbGroup], depth: int) -> None:
    """Go on where the verb stands over another: "started priming", "need to order", "got round to sanding"."""
    senses = {u.sense: u for f in g.forms for u in wordlist().uses(f.lemma) if _particles_at(phrase, g.j, u.particles)}
    at = g.j
    found = [(u.sense, at + len(u.particles)) for u in senses.values() if u.sense in OPERATORS]
    lemmas = {f.lemma for f in g.forms}
    if lemmas & _LIGHT:
        found.append(("", at))
        if phrase.at(at) in ("round", "around", "up", "on") and phrase.at(at + 1) in ("to", "with"):
            found.append(("", at + 1))
    for sense, end in found:
        k = end
        force = _over(g, OPERATORS.get(sense, g.force))
        operators = (*g.operators, sense) if sense else g.operators
        base = replace(
            g, j=k, force=force, operators=operators, participle=g.participle and not sense, base=g.base and not sense
        )
        if phrase.at(k) in ("with", "on", "about", "of", "at", "from") and sense:
            k += 1
        if phrase.at(k) == "to":
            _grow(phrase, replace(base, j=k), "to", out, depth + 1)
            if sense == "":  # "got round to sanding"
                _grow(phrase, replace(base, j=k + 1), "ing", out, depth + 1)
        elif phrase.at(k) in ("me", "myself", "us") and phrase.at(k + 1) == "to":
            _grow(phrase, replace(base, j=k + 1), "to", out, depth + 1)
        elif "let" in lemmas and phrase.at(k) in ("us", "me"):  # "let's undercoat the lids"
            _grow(phrase, replace(base, j=k + 1, force=Force.MEANT), "base", out, depth + 1)
        elif phrase.at(k) == "and" and lemmas & {"go", "come", "try"}:  # "went and sanded"
            _grow(phrase, replace(base, j=k + 1, participle=False), "", out, depth + 1)
        elif not (lemmas & {"get", "have"} and sense == ""):
            _grow(phrase, replace(base, j=k), "ing", out, depth + 1)


def _over(g: VerbGroup, force: Force) -> Force:
    """Give the force of a verb under an operator: what was itself done, meant or denied goes first."""
    if g.force in (Force.DONE, Force.UNDERWAY):
        return force
    if g.force is Force.ORDERED:  # "remember to", "remind me to", "start sanding"
        return force if force in (Force.WISHED, Force.SUPPOSED, Force.MEANT, Force.ORDERED) else Force.ORDERED
    if g.force is Force.MEANT and force in (Force.WISHED, Force.SUPPOSED, Force.REPORTED):
        return force
    return g.force


def _particles_at(phrase: Phrase, i: int, particles: tuple[str, ...]) -> bool:
    return tuple(phrase.words[i : i + len(particles)]) == particles
