"""``dabhand listen``: the voice's loop with this job's phrases, journal and alarms."""

from __future__ import annotations

import json
import signal
import threading
import time
from collections.abc import Callable, Iterable
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant import cli
from assistant.problem import Problem

if TYPE_CHECKING:
    from assistant.cli import Call
    from assistant.turn import Session


def run(call: Call) -> int:
    """Listen until interrupted, or to the end of ``--wav``; exit status 0 if something was understood."""
    try:
        from assistant.voice.clips import folder_for
        from assistant.voice.loop import listen
        from assistant.voice.wake import DEFAULT as WAKE
    except ImportError as error:
        raise Problem(f"the voice is not installed ({error}): pip install dabhand again; typed chat works") from None
    if call.words:
        raise Problem("dabhand listen takes no words: say them")
    from assistant.language.speech import PhraseSource

    wav, model = call.options.get("--wav"), call.options.get("--model")
    path = cli.journal_path(call)
    with cli.open_session(call) as session:
        days = session.state.job.get("keep_clips", 60)

        now = _clock(call, session, running=wav is None)
        if threading.current_thread() is threading.main_thread():
            signal.signal(signal.SIGTERM, signal.default_int_handler)  # ended in any way, it leaves the terminal tidy
        return listen(
            session,
            PhraseSource(session.state),
            now=now,
            out=lambda reply: _show(reply, as_json=call.json),
            wav=Path(wav) if wav else None,
            model=Path(model) if model else None,
            speaker="none" if "--quiet" in call.flags else call.options.get("--speaker"),
            device=call.options.get("--device"),
            clips=folder_for(path),
            keep_days=int(days) if isinstance(days, int | float | str) and str(days).isdigit() else 60,
            wake=None if "--no-wake" in call.flags else call.options.get("--wake", WAKE),
            push_to_talk="--push-to-talk" in call.flags,
            alarms=_alarms(session, now()),
        )


def _clock(call: Call, session: Session, *, running: bool) -> Callable[[], datetime]:
    """Give what tells now: the clock, or for ``--at`` a clock that was set to it when listening began."""
    text = call.options.get("--at")
    start, began = cli.moment(text, session.zone), time.monotonic()
    if text is None:
        return lambda: cli.moment(None, session.zone)
    return lambda: start + timedelta(seconds=time.monotonic() - began if running else 0.0)


def _show(reply: dict[str, Any], *, as_json: bool) -> None:
    if as_json:
        print(json.dumps(reply, ensure_ascii=False), flush=True)
        return
    print(f"> {reply.get('heard', '')}\n{reply.get('reply', '')}", flush=True)
    for caution in reply.get("cautions", ()):
        print(f"  ! {caution}", flush=True)


def _alarms(session: Session, start: datetime) -> Any:
    from assistant.chat import Alarms

    alarms = Alarms(session, start)

    def due(now: datetime) -> Iterable[str]:
        return alarms.due(now)

    return due
