"""Faults in a film: noted with their likely cause and cure, or put right."""

from __future__ import annotations

from assistant.dialogue import settling
from assistant.dialogue.scene import Result, Scene
from assistant.dialogue.talk import Unclear
from assistant.dialogue.telling.moments import done
from assistant.dialogue.telling.readback import entry, left_out, now_or, on
from assistant.journal.events import FAULTS, Fault, Task
from assistant.language.meanings import Flaw
from assistant.wording import ordinal, sentence


def flaw(scene: Scene, said: Flaw) -> Result:
    """Log a fault in a film, or that one was put right."""
    if said.mended:
        return _mended(scene, said)
    kind = said.fault if said.fault in FAULTS else "other"
    settled = settling.pieces(scene, said.pieces)
    moment = done(scene, said.when)
    text = said.text or said.words
    events = tuple(entry(Fault, moment, scene.now, piece=p, fault=kind, text=text) for p in settled.pieces)
    scene.spoke_of(settled.pieces)
    word = kind if kind != "other" else "fault"
    word += f" in the {ordinal(said.coat).lower()} coat" if said.coat else ""
    told = [f"Noted: {word} on {on(settled.pieces, settled.part)}", now_or(moment, scene.now)]
    remedy = _remedy(scene, events[0])
    return Result(f"{sentence(told)} {remedy}".strip() + left_out(said), events, meaning=said)


def _remedy(scene: Scene, event: Fault) -> str:
    """Say the likely cause, the cure and what it costs in hours at this temperature."""
    from assistant.craft.faults import remedy, told
    from assistant.library.faults import all_faults

    return told(remedy(scene.state, scene.talk.cards, event, all_faults(), scene.now), scene.now)


def _mended(scene: Scene, said: Flaw) -> Result:
    """End the task that the fault opened. Sanding that was told with it is a deed of its own."""
    open_ = [t for t in scene.state.tasks if t.state == "open" and t.text.startswith("put the ")]
    named = settling.pieces(scene, said.pieces).pieces if said.pieces is not None else scene.last_pieces
    mine = [t for t in open_ if t.piece in named and said.fault in ("other", "", *_words(t))]
    if not mine and said.pieces is None and len(open_) == 1:
        mine = open_
    if not mine:
        raise Unclear('I know of no fault there: say what was done, as "sanded the rail with 320".')
    moment = done(scene, said.when)
    events = tuple(entry(Task, moment, scene.now, text=t.text, piece=t.piece, state="done") for t in mine)
    scene.spoke_of([t.piece for t in mine if t.piece])
    ended = ", ".join(f"{t.text} on the {t.piece}" for t in mine)
    return Result(sentence([f"Ticked off: {ended}", now_or(moment, scene.now)]) + left_out(said), events, meaning=said)


def _words(task: Task) -> tuple[str, ...]:
    # the task of a fault is in set words: "put the run right"
    return (task.text.removeprefix("put the ").removesuffix(" right"),)
