"""``dabhand doctor``: what works on this machine, said truthfully."""

from __future__ import annotations

import json
import sys
from typing import TYPE_CHECKING

from assistant import cli
from assistant.problem import Problem

if TYPE_CHECKING:
    from assistant.cli import Call


def run(call: Call) -> int:
    """Print a row a part; exit status 0 if the journal and the data are sound, else 2."""
    if "--fetch-model" in call.flags:
        from assistant.voice.health import fetch_model

        return fetch_model(yes="--yes" in call.flags)
    rows = [_python(), _journal(call), _data(), *_voice()]
    if call.json:
        print(json.dumps([{"part": n, "ok": ok, "text": text} for n, ok, text in rows], ensure_ascii=False))
    else:
        for name, ok, text in rows:
            print(f"{'ok  ' if ok else 'no  '} {name:12} {text}")
    return 0 if rows[1][1] and rows[2][1] else 2


def _python() -> tuple[str, bool, str]:
    version = ".".join(map(str, sys.version_info[:3]))
    return "python", sys.version_info >= (3, 11), version


def _journal(call: Call) -> tuple[str, bool, str]:
    path = cli.journal_path(call)
    try:
        with cli.open_session(call) as session:
            state = session.state
            wrong = session.journal.check()
            if wrong:
                return "journal", False, f"{path}: {wrong[0]}"
            return (
                "journal",
                True,
                f"{path}: {state.last_id} events, {len(state.pieces)} pieces, {len(state.labels)} labels",
            )
    except Problem as problem:
        return "journal", False, str(problem)


def _data() -> tuple[str, bool, str]:
    from assistant.data import root
    from assistant.language.frames import frames
    from assistant.library.families import index

    try:
        return "data", True, f"{root()}: {len(frames())} frames, {len(index())} families"
    except Problem as problem:
        return "data", False, str(problem)


def _voice() -> list[tuple[str, bool, str]]:
    try:
        from assistant.voice.health import lines
    except ImportError as error:
        return [("voice", False, f"not installed: {error}")]
    return lines()
