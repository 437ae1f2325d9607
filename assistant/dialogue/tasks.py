"""The list of what is to be done: put on, ticked off, dropped, and what waits for what."""

from __future__ import annotations

import re
from collections.abc import Callable

from assistant.craft.wanted import coats_text
from assistant.dialogue import naming
from assistant.dialogue.talk import Back, Result, Talk, Unclear
from assistant.dialogue.wording import listed, sentence
from assistant.journal.events import Task
from assistant.language.meaning import Meaning

_TASK_CUES = (
    "remind me to ", "remember to ", "add a task to ", "add a task ", "new task ", "put on the list ",
    "add to the list ",
    "add a job to ", "add a job ", "new job ", "another job ",
    "don't let me forget to ", "do not let me forget to ", "don't forget to ", "do not forget to ", "to do ", "todo ",
    "task ", "i need to ", "i've got to ", "i have to ", "i must ", "i should ", "i'm going to ", "i am going to ",
    "i'll ", "i will ", "tick off ", "ticked off ", "cross off ", "crossed off ", "add ",
    "need to ", "put down ", "make sure i ", "i want to ", "job for ", "remind me ",
)  # fmt: skip


#: What is said of a task's new state.
_STATES = {"open": "On the list", "done": "Ticked off", "dropped": "Dropped"}
_TO_DO = re.compile(r"^(to ?do|task|add a job|new job|another job)\s*[:,-]\s*", re.IGNORECASE)


_TO_LIST = re.compile(r"\s+(?:on ?)?to (?:the|my) (?:job |to.?do )?list[.!]?$", re.IGNORECASE)


def task(talk: Talk, m: Meaning) -> Result:
    """Put something on the list, or tick it off."""
    text = _TO_DO.sub("to do ", m.text.strip())
    text = re.sub(r",?\s*(is |are )?to do$", "", text, flags=re.IGNORECASE)
    text = _TO_LIST.sub("", text)
    for cue in _TASK_CUES:
        if text.lower().startswith(cue):
            text = text[len(cue) :]
            break
    text = text.strip(" :,.")
    later = m.has("task.meant") or _AFTER.search(text)  # "... after the doors are done" is not done
    ticked = m.has("task.tick") or (m.has("task.done") and not later)
    state = "dropped" if m.has("task.dropped") else "done" if ticked else "open"
    named = naming.pieces(talk, m, need=False) if m.pieces else []
    if not text:
        raise Back("To do what?", "text")
    if state == "open" and (coats := _coats_to_do(talk, m, named)):
        talk.said_pieces = named
        return Result(sentence([f"On the list: {listed(e.text for e in coats)}"]), [*coats])
    if state != "open":
        if m.duration is not None or m.numbers:
            raise Unclear("I don't know what to do with the number in that: say it again.")
        known = listed_task(talk, text, sure=85 if re.search(r"\bthat\b", text) else 80)
        if known is None and state == "dropped":
            raise Unclear("There is nothing like that on the list to drop.")
        text = known.text if known else text
    after = _after(talk, text) if state == "open" else None
    event = Task(
        text=text, piece=named[0] if named else None, state=state, after=after, at=talk.now, said_at=talk.now
    )
    return Result(sentence([f"{_STATES[state]}: {text}"]), [event])


def _coats_to_do(talk: Talk, m: Meaning, pieces: list[str]) -> list[Task]:
    """Give a task a piece for "five coats of varnish on the hatch trim, to do", in the words the plan goes by."""
    if not m.count or not pieces or m.when.said or m.ordinal:
        return []
    product = naming.product(talk, m)
    if product is None:
        return []
    texts = ((coats_text(m.count, product, piece), piece) for piece in pieces)
    return [Task(text=text, piece=piece, state="open", at=talk.now, said_at=talk.now) for text, piece in texts]


_ENDED = re.compile(
    r"^(?:(?:that is|that's|thats|right|ok|so|and),? )*(?:the |my )?(?P<what>.+?)"
    r"(?: (?:is|are|has been|have been)|'s)? (?:all )?"
    r"(?:done|sorted|finished|ordered|fitted|in|on|bought|fetched|ready)[.!]?$",
    re.IGNORECASE,
)
_GOT = re.compile(
    r"^(?:i've |i have )?(?:got|had) (?:the |my )?(?P<what>.+?) (?:ordered|bought|fetched|sorted|fitted|done)[.!]?$",
    re.IGNORECASE,
)
_OFF = re.compile(
    r"\b(?:not (?:doing|bothering with)|drop|forget|scrap|cancel|skip|leave out|don't bother with)\b"
    r"(?: the (?:task|job))?(?P<what>.+)$",
    re.IGNORECASE,
)
_TAKEN, _TICKED = (  # what is ticked was done, what is taken off need not be
    re.compile(
        rf"\b(?:{verb})\s+(?P<what>.+?)\s+off(?: of)?(?: (?:the|my) (?:job |to.?do )?list)?[.!]?$", re.IGNORECASE
    )
    for verb in ("take|strike", "cross|tick")
)


def closed(talk: Talk, phrase: str) -> Result | None:
    """Give the end of an open task that a phrase names as done or dropped ("the new hinges are on"), or None."""
    for pattern, state in ((_TAKEN, "dropped"), (_TICKED, "done"), (_OFF, "dropped"), (_GOT, "done"), (_ENDED, "done")):
        found = pattern.search(phrase.strip())
        task = listed_task(talk, found["what"], sure=85) if found else None
        if task is not None:
            event = Task(text=task.text, piece=task.piece, state=state, at=talk.now, said_at=talk.now)
            return Result(f"{_STATES[state]}: {task.text}.", [event])
    return None


_AFTER = re.compile(r"\b(?:after|once|when)\s+(?:the |that |i have |i've )?(?P<what>.+?)\s*$", re.IGNORECASE)
_IS_DONE = re.compile(r"\s+(?:is|are|has|have)\b.*$", re.IGNORECASE)


def _after(talk: Talk, text: str) -> str | None:
    """Give what a task is to wait for: an entry of the plan or the list, by its name or its piece's."""
    found = _AFTER.search(text)
    if found is None:
        return None
    what = _IS_DONE.sub("", found["what"]).casefold()
    names = {name: str(plan.values.get("piece") or name) for name, plan in talk.state.plans.items()}
    names |= {t.text: t.piece or t.text for t in talk.state.tasks if t.state == "open"}
    mine = [n for n, piece in names.items() if what == n.casefold() or what.endswith(piece.casefold().split()[-1])]
    if mine:
        return mine[-1]
    return next((p for p in talk.state.pieces if what.endswith(p.casefold().split()[-1])), None)


def listed_task(talk: Talk, said: str, *, sure: float = 80) -> Task | None:
    """Give the open task of the list that was meant, or None; ``sure`` (0 to 100) is the least likeness of words."""
    from rapidfuzz import fuzz, process

    shut = {t.text.casefold() for t in talk.state.tasks if t.state != "open"}
    plans = ((n, p.values) for n, p in talk.state.plans.items() if not (n.casefold() in shut or p.values.get("coats")))
    open_ = {n: Task(text=n, piece=v.get("piece"), state="open", at=talk.now, said_at=talk.now) for n, v in plans}
    open_ |= {t.text: t for t in talk.state.tasks if t.state == "open"}
    found = process.extractOne(said, [*open_], score_cutoff=75) if sure <= 80 else None
    found = found or process.extractOne(said.casefold(), [*open_], scorer=fuzz.token_set_ratio, score_cutoff=sure)
    return open_[found[0]] if found else None


TASKS: dict[str, Callable[[Talk, Meaning], Result]] = {"task": task}
