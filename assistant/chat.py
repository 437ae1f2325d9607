"""The typed conversation: history, completion from the job's own names, and a bottom line of what is wet.

One of the few rooms that reads the clock. Where standard input is no terminal the same phrases are
taken a line at a time, so that a pipe works too.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

from assistant import cli
from assistant.craft import readiness as craft
from assistant.craft.pot import running
from assistant.language.phrasing import openings
from assistant.problem import Problem
from assistant.turn import Session
from assistant.wording import when

if TYPE_CHECKING:
    from prompt_toolkit.completion import CompleteEvent, Completion
    from prompt_toolkit.document import Document

_LEAVE = {"quit", "exit", "bye", "goodbye", "q"}
#: How often the bottom line and the alarms are looked at, seconds.
_TICK = 15.0


def run(call: cli.Call) -> int:
    """Hold the conversation until the person leaves; always exit status 0."""
    with cli.open_session(call) as session:
        if call.json or not sys.stdin.isatty():
            return _piped(session, call)
        return _typed(session, call)


def _now(session: Session, call: cli.Call) -> datetime:
    return cli.moment(call.options.get("--at"), session.zone)


def _piped(session: Session, call: cli.Call) -> int:
    for line in sys.stdin:
        if line.strip().lower() in _LEAVE:
            break
        if line.strip():
            cli.show(session.take(line.rstrip("\n"), _now(session, call)), as_json=call.json)
    return 0


def bottom_line(session: Session, now: datetime) -> str:
    """Say what is wet now, what pot is running and what is ready next, in one line."""
    talk = session.talk(now)
    parts = []
    for pot in running(talk.state, talk.cards, now):
        left = int((pot.ends - now).total_seconds() // 60)
        parts.append(f"{pot.product} pot {left} min")
    wet = craft.wet(talk.state, talk.cards, now)
    if wet:
        parts.append("wet: " + ", ".join(r.piece for r in wet[:3]) + (f" +{len(wet) - 3}" if len(wet) > 3 else ""))
    coming = _coming(session, now)
    if coming:
        parts.append(coming)
    name = str(talk.state.job.get("name") or "no job loaded")
    return f"{name} | {now:%a %H:%M} | " + (" | ".join(parts) or "nothing wet")


def _coming(session: Session, now: datetime) -> str:
    talk = session.talk(now)
    best: tuple[datetime, str] | None = None
    for piece in talk.state.work:
        for stage, word in (("sand", "sand"), ("overcoat", "recoat")):
            found = craft.readiness(talk.state, talk.cards, piece, stage, now)
            if (
                found.earliest
                and not found.ready
                and now < found.earliest
                and (best is None or found.earliest < best[0])
            ):
                best = (found.earliest, f"next: {word} {piece} {when(found.earliest, now)}")
    return best[1] if best else ""


class Alarms:
    """What has fallen due since it was last asked."""

    def __init__(self, session: Session, now: datetime) -> None:
        self._session = session
        self._since = now

    def due(self, now: datetime) -> list[str]:
        """Give the words of each alarm that fell due between the last look and now."""
        from assistant.craft.alarms import due

        since, self._since = self._since, now
        if now <= since:
            return []
        talk = self._session.talk(now)
        return [a.text for a in due(talk.state, talk.cards, since, now)]


def _typed(session: Session, call: cli.Call) -> int:
    import threading

    from prompt_toolkit import PromptSession
    from prompt_toolkit.history import FileHistory, InMemoryHistory
    from prompt_toolkit.patch_stdout import patch_stdout

    path = cli.journal_path(call)
    try:
        kept = path.with_name(path.name + ".history")
        kept.touch(exist_ok=True)
        history: Any = FileHistory(str(kept))
    except OSError:
        history = InMemoryHistory()
    prompt: PromptSession[str] = PromptSession(
        history=history, completer=_completer(session), complete_while_typing=False,
        bottom_toolbar=lambda: _safely(session, call), refresh_interval=_TICK,
    )  # fmt: skip
    print('Say what you did, or ask. "help" gives examples, "quit" leaves.')
    stop = threading.Event()
    watcher = threading.Thread(target=_watch, args=(call, stop), daemon=True)
    with patch_stdout():
        watcher.start()
        while True:
            try:
                line = prompt.prompt("> ")
            except KeyboardInterrupt:
                continue
            except EOFError:
                break
            if line.strip().lower() in _LEAVE:
                break
            if line.strip():
                _answer(session, call, line)
    stop.set()
    return 0


def _answer(session: Session, call: cli.Call, line: str) -> None:
    try:
        cli.show(session.take(line, _now(session, call)), as_json=False)
    except Problem as problem:
        print(str(problem))


def _safely(session: Session, call: cli.Call) -> str:
    try:
        return bottom_line(session, _now(session, call))
    except Problem as problem:
        return str(problem)


def _watch(call: cli.Call, stop: Any) -> None:
    # its own connection: a SQLite connection stays in the thread that made it
    try:
        with cli.open_session(call) as session:
            alarms = Alarms(session, _now(session, call) - timedelta(seconds=1))
            while not stop.wait(_TICK):
                for text in alarms.due(_now(session, call)):
                    print(f"\a* {text}")
    except Problem:
        return


def _completer(session: Session) -> Any:
    from prompt_toolkit.completion import Completer, Completion

    class Names(Completer):  # its signature is the library's
        """Completes a phrase that began like one of the shapes, or the name being typed."""

        def get_completions(self, document: Document, _: CompleteEvent) -> Iterable[Completion]:
            text = document.text_before_cursor.lower()
            if text.strip():
                whole = [o for o in openings(session.state) if o.startswith(text.lstrip())]
                yield from (Completion(o, start_position=-len(text.lstrip())) for o in whole[:12])
            for name in _names(session):
                part = _tail(text, name)
                if part:
                    yield Completion(name, start_position=-len(part))

    return Names()


def _names(session: Session) -> list[str]:
    state = session.state
    every = [n for shelf in (state.pieces, state.labels, state.spaces) for n in shelf]
    return every + [a for shelf in (state.pieces, state.labels) for n in shelf.values() for a in n.also]


def _tail(text: str, name: str) -> str:
    """Give the end of ``text`` that begins ``name``, from the start of a word."""
    for start in range(max(0, len(text) - len(name)), len(text)):
        if (start == 0 or text[start - 1] == " ") and name.startswith(text[start:]):
            return text[start:]
    return ""
