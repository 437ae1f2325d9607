"""The list in free words, gear, and notes."""

from __future__ import annotations

from typing import Final

from assistant.dialogue import settling
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Back, Unclear
from assistant.dialogue.telling.moments import done, to_come
from assistant.dialogue.telling.readback import entry, left_out, now_or
from assistant.journal.events import GEAR_CHANGES, Gear, Note, Task
from assistant.language.meanings import Errand, Force, GearFact
from assistant.language.meanings import Note as NoteMeaning
from assistant.wording import listed, sentence, when

#: What a reply calls the state of a job.
STATES: Final = {"open": "On the list", "done": "Ticked off", "dropped": "Dropped"}
#: How alike two words must be to be forms of one ("order", "ordered"), of 100.
_ALIKE: Final = 75
#: Words that say nothing of which job is meant.
_SMALL: Final = frozenset(["the", "a", "an", "of", "on", "to", "my", "some", "for", "in"])


def errand(scene: Scene, said: Errand) -> Result:
    """Put a job in free words on the list, tick it off, or drop it."""
    state = "dropped" if said.dropped else "done" if said.force is Force.DONE else "open"
    text = said.text.strip(" :,.")
    if not text:
        raise Back("To do what?", Slot.TEXT)
    pieces = settling.pieces(scene, said.pieces).pieces if said.pieces is not None else ()
    scene.spoke_of(pieces)
    piece = pieces[0] if len(pieces) == 1 else None
    if state != "open":
        return _closed(scene, said, text, state)
    ring = to_come(scene, said.ring)
    due, start = to_come(scene, said.due, by=True), to_come(scene, said.not_before)
    event = Task(
        text=text, piece=piece, state="open", after=waits_for(scene, said.after), not_before=start, due=due, ring=ring,
        at=scene.now, said_at=scene.now,
    )  # fmt: skip
    told = [
        f"On the list: {text}",
        f"reminding you at {when(ring, scene.now)}" if ring else "",
        f"by {when(due, scene.now)}" if due else "",
        f"not before {when(start, scene.now)}" if start else "",
        f"after {said.after}" if said.after and said.after not in text else "",
    ]
    return Result(sentence(told) + left_out(said), (event,), meaning=said)


def _closed(scene: Scene, said: Errand, text: str, state: str) -> Result:
    found = on_list(scene, text)
    if not found:
        if state == "dropped":
            raise Unclear("There is nothing like that on the list to drop.")
        found = [Task(text=text, state="open", at=scene.now, said_at=scene.now)]
    found = [t for t in found if t.text == scene.hints.text] or found
    if len(found) > 1:
        raise Back(f"Which: {listed((t.text for t in found), 'or')}?", Slot.TEXT, [t.text for t in found])
    known = found[0]
    event = Task(text=known.text, piece=known.piece, state=state, at=scene.now, said_at=scene.now)
    return Result(sentence([f"{STATES[state]}: {known.text}"]) + left_out(said), (event,), meaning=said)


def open_tasks(scene: Scene) -> list[Task]:
    """Give the entries of the list that are open: of the job file, and told."""
    shut = {t.text.casefold() for t in scene.state.tasks if t.state != "open"}
    open_ = {
        n: Task(text=n, piece=p.values.get("piece"), state="open", at=scene.now, said_at=scene.now)
        for n, p in scene.state.plans.items()
        if n.casefold() not in shut and not p.values.get("coats")
    }
    open_ |= {t.text: t for t in scene.state.tasks if t.state == "open"}
    return list(open_.values())


def on_list(scene: Scene, said: str) -> list[Task]:
    """Give the open tasks of the list that words may mean: one, or all that are as near."""
    open_ = {t.text: t for t in open_tasks(scene)}
    exact = [t for n, t in open_.items() if n.casefold() == said.casefold()]
    if exact:
        return exact
    words = _content(said)
    scored = [(_share(words, _content(name)), task) for name, task in open_.items()]
    best = max((score for score, _ in scored), default=0.0)
    return [task for score, task in scored if score == best > 0.0]


def _content(text: str) -> list[str]:
    return [w for w in text.casefold().replace(",", " ").split() if w not in _SMALL]


def _share(one: list[str], other: list[str]) -> float:
    """Give how much of the longer of two texts the shorter covers, from 0 to 1; 0 if a word of it has no like there.

    "Measured the bulkhead" is not "sand the bulkhead", whatever else they share.
    """
    from rapidfuzz import fuzz

    short, long = sorted((one, other), key=len)
    if not short or not all(any(fuzz.ratio(w, v) >= _ALIKE for v in long) for w in short):
        return 0.0
    return len(short) / len(long)


def waits_for(scene: Scene, said: str | None) -> str | None:
    """Give the entry of the plan or the list that words name, as it is called there; the words where none is meant."""
    if not said:
        return None
    what = said.casefold().removeprefix("after ").removeprefix("the ").strip()
    names = {name: str(plan.values.get("piece") or name) for name, plan in scene.state.plans.items()}
    names |= {t.text: t.piece or t.text for t in scene.state.tasks if t.state == "open"}
    mine = [n for n, piece in names.items() if what in (n.casefold(), piece.casefold())]
    return mine[-1] if mine else what


def gear(scene: Scene, said: GearFact) -> Result:
    """Log gear fitted or replaced."""
    if said.change not in GEAR_CHANGES or not said.item:
        raise Unclear("Say what was fitted or replaced.")
    moment = done(scene, said.when)
    event = entry(Gear, moment, scene.now, item=said.item, change=said.change)
    told = [f"{said.change.capitalize()} the {said.item}", now_or(moment, scene.now)]
    return Result(sentence(told) + left_out(said), (event,), meaning=said)


def note(scene: Scene, said: NoteMeaning) -> Result:
    """Keep words as they are."""
    if not said.text.strip():
        raise Back("Note what?", Slot.TEXT)
    moment = done(scene, said.when)
    names = said.pieces.names if said.pieces is not None else ()
    if len(names) == 1 and len(names[0].options) == 1:
        scene.spoke_of(names[0].options)
    event = entry(Note, moment, scene.now, text=said.text)
    return Result(sentence([f"Noted: {said.text}"]), (event,), meaning=said)
