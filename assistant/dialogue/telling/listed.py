"""What is said of a job that stands on the list: that it is done, that it can wait, that it is not wanted any more.

Such talk has its own words for the job, seldom those it was put on the list in, so the job is found by the words that
the two share. It is looked at only where a phrase tells of no work of its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.telling.errands import STATES, on_list, open_tasks
from assistant.dialogue.telling.moments import to_come
from assistant.journal.events import Task
from assistant.language import times
from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.meanings import (
    Answer,
    Deed,
    Errand,
    Force,
    Meaning,
    Note,
    Reading,
    Remark,
    Rule,
    TinFact,
    Unread,
)
from assistant.language.numbers import WORDS as NUMBER_WORDS
from assistant.language.periods import Bound
from assistant.language.questions import ASKING
from assistant.language.tokens import Token, tokens
from assistant.language.when import When
from assistant.language.wordlist import wordlist
from assistant.wording import sentence, when

#: How alike two words must be to be forms of one ("order", "ordered"), of 100.
_ALIKE: Final = 78
#: So much of a task's words must be named, or one of them that nothing else of the job has.
_SHARE: Final = 0.6
_CONDITIONS: Final = frozenset(["if", "unless", "whether", "might", "maybe", "perhaps", "should", "would", "could"])
_DENYING: Final = frozenset(["not", "never", "no", "n't", "nor"])
_THAT: Final = frozenset(["that", "it", "this", "one"])
_DONE: Final = frozenset(["done", "sorted", "finished", "in", "on", "up", "fixed", "fitted", "off", "back", "complete"])


@dataclass(frozen=True, slots=True)
class _Words:
    """The words of a phrase with what their verbs may mean."""

    all: tuple[Token, ...]
    content: tuple[str, ...]
    senses: frozenset[str]
    past: bool


def of_the_list(scene: Scene, reading: Reading) -> Result | None:
    """Give what a phrase says of a job on the list; None where it speaks of none, or tells of work itself."""
    if not all(_open(m) for m in reading.meanings):
        return None
    if any(isinstance(m, Errand) and m.text and on_list(scene, m.text) for m in reading.meanings):
        return None  # it is named in its own words
    words = _cut(reading.phrase)
    said = {t.text for t in words.all}
    if said & (_CONDITIONS | ASKING | {"?"}) or any(t.kind in ("number", "ratio", "fraction") for t in words.all):
        return None  # with a figure it tells of something else
    state, start = _state(scene, words, said)
    if state is None:
        return None
    task = _meant(scene, words, said)
    if task is None:
        return None
    event = Task(
        text=task.text, piece=task.piece, state=state, not_before=start, at=scene.now, said_at=scene.now,
    )  # fmt: skip
    scene.context.task = task.text if state == "open" else None
    told = [f"{STATES[state]}: {task.text}", f"not before {when(start, scene.now)}" if start else ""]
    return Result(sentence(told), (event,))


def _open(meaning: Meaning) -> bool:
    """Whether a meaning leaves room for the list: it would become no entry of its own, or only a line of the day."""
    if isinstance(meaning, Remark | Note | Answer | Unread):
        return True
    if isinstance(meaning, Errand):
        return not meaning.text or meaning.dropped or meaning.not_before is not None
    if isinstance(meaning, Rule):
        return not (meaning.start or meaning.end or meaning.lasting)
    if isinstance(meaning, Deed):
        return meaning.put_off or meaning.dropped or meaning.force in _IDLE or meaning.held is not None
    return isinstance(meaning, TinFact) and meaning.force in _IDLE


_IDLE: Final = (Force.DENIED, Force.REPORTED, Force.WISHED, Force.REMARKED)


def _cut(phrase: str) -> _Words:
    toks = tuple(tokens(phrase))
    content: list[str] = []
    senses: set[str] = set()
    past = False
    for k, token in enumerate(toks):
        if token.kind != "word":
            continue
        if (
            token.text in CLOCK_WORDS
            or token.text in NUMBER_WORDS
            or any(c.tag == "when" for c in times.all_chunks([token.text], [token.kind])[0])
        ):
            continue  # when it is to be is no name of it
        function = any(
            e.part == "function" and end == k + 1 for end, e in wordlist().entries_at([t.text for t in toks], k)
        )
        if not function:
            content.append(token.text)
        for form in wordlist().verb_forms(token.text):
            past = past or bool(set(form.tags) & {"VBD", "VBN"})
            for use in wordlist().uses(form.lemma):
                if tuple(t.text for t in toks[k + 1 : k + 1 + len(use.particles)]) == use.particles:
                    senses.add(use.sense)
    return _Words(toks, tuple(content), frozenset(senses), past)


def _state(scene: Scene, words: _Words, said: set[str]) -> tuple[str | None, datetime | None]:
    """Give what becomes of the job: dropped, put off to a time, or done."""
    denied = bool(said & _DENYING)
    if "give-up" in words.senses and not denied:
        return "dropped", None
    if denied and words.senses & {"need", "want", "deserve"}:
        return "dropped", None
    later = _later(scene, words)
    if later is not None and ("postpone" in words.senses or (denied and not words.past)):
        return "open", later
    if denied or (later is not None and not words.past):
        return None, None
    if words.past or said & _DONE or "tick-off" in words.senses:
        return "done", None
    return None, None


def _later(scene: Scene, words: _Words) -> datetime | None:
    """Give the time to come that is said, if any."""
    texts, kinds = [t.text for t in words.all], [t.kind for t in words.all]
    found = [f for row in times.all_chunks(texts, kinds) for f in row if f.doubt < 0.5]
    for f in sorted(found, key=lambda f: -f.end):
        said = f.value.when if isinstance(f.value, Bound) else f.value
        if isinstance(said, When) and (said.day is not None or said.ahead is not None) and times.coming(said):
            return to_come(scene, said)
    return None


def _meant(scene: Scene, words: _Words, said: set[str]) -> Task | None:
    """Give the one open task whose words the phrase has; a bare "that" is the one last spoken of."""
    tasks = open_tasks(scene)
    names = {w for n in (*scene.state.pieces, *scene.state.labels, *scene.state.spaces) for w in n.casefold().split()}
    scored: list[tuple[float, Task]] = []
    contents = [_cut(t.text).content for t in tasks]
    few = len(words.content) <= _FEW
    for n, task in enumerate(tasks):
        own = [w for w in contents[n] if w not in _SLIGHT]
        held = [w for w in own if any(_alike(w, p) for p in words.content)]
        telling = [w for w in held if w not in names]
        share = len(held) / len(own) if own else 0.0
        others = {w for k, content in enumerate(contents) if k != n for w in content}
        if telling and (share >= _SHARE or (few and _only_here(telling, others))):
            scored.append((share, task))
    best = max((s for s, _ in scored), default=0.0)
    fits = [t for s, t in scored if s == best]
    if fits:
        return fits[0] if len(fits) == 1 else None
    if not (said & _THAT) or scene.context.task is None or not scene.context.fresh(scene.now):
        return None
    own_words = [w for w in words.content if w not in _SLIGHT and not wordlist().verb_forms(w)]
    if any(w in names for w in own_words):
        return None
    return next((t for t in tasks if t.text == scene.context.task), None)


_SLIGHT: Final = frozenset(
    ["new", "more", "some", "get", "do", "go", "need", "want", "job", "list", "put", "have", "be"]
)


#: A phrase of so few words of content may name a job by one of them.
_FEW: Final = 5


def _only_here(held: list[str], others: set[str]) -> bool:
    """Whether a word of a task names it alone: a noun that no other task, of the words ``others``, has."""
    return any(not any(_alike(w, o) for o in others) and not _slight_verb(w) for w in held)


def _slight_verb(word: str) -> bool:
    return bool(wordlist().verb_forms(word)) and not list(wordlist().entries_at([word], 0))


def _alike(one: str, other: str) -> bool:
    from rapidfuzz import fuzz

    if one == other:
        return True
    if {f.lemma for f in wordlist().verb_forms(one)} & {f.lemma for f in wordlist().verb_forms(other)}:
        return True
    return one[0] == other[0] and min(len(one), len(other)) > 3 and fuzz.ratio(one, other) >= _ALIKE
