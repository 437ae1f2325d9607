"""``dabhand plan``: the week as a timeline, a picture, a calendar or JSON."""

from __future__ import annotations

import json
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant import cli
from assistant.craft.plan.moves import moves
from assistant.craft.plan.outlook import outlook
from assistant.craft.plan.week import plan
from assistant.problem import Problem
from assistant.reply import plain

if TYPE_CHECKING:
    from assistant.cli import Call
    from assistant.craft.plan.step import Plan
    from assistant.dialogue.talk import Talk

#: Seconds for the proof, if nobody says otherwise.
LIMIT = 5.0


def run(call: Call) -> int:
    """Print the plan and write what was asked for; exit status 0 if the deadline holds or there is none, else 1."""
    limit = _limit(call)
    with cli.open_session(call) as session:
        talk = session.talk(cli.moment(call.options.get("--at"), session.zone))
        told = None if call.json or not sys.stderr.isatty() else _progress
        found = plan(talk.state, talk.cards, talk.now, limit_s=limit, progress=told)
        warned = outlook(talk.state, talk.cards, talk.now, found)
        _write(call, found, talk)
        if call.json:
            print(json.dumps(plain(_as_json(found, talk, [w.text for w in warned])), ensure_ascii=False))
        else:
            from assistant.show.timeline import text

            print(text(found, talk.now, shutil.get_terminal_size((100, 24)).columns))
            for warning in warned:
                print(f"  ! {warning.text}")
    return 1 if found.holds is False else 0


def _progress(line: str) -> None:
    print(f"  {line}", file=sys.stderr, flush=True)


def _limit(call: Call) -> float:
    said = call.options.get("--limit")
    if said is None:
        return LIMIT
    try:
        limit = float(said)
    except ValueError:
        limit = -1.0
    if not 0.0 <= limit <= 3600.0:
        raise Problem(f"--limit takes seconds from 0 to 3600, not {said}")
    return limit


def _write(call: Call, found: Plan, talk: Talk) -> None:
    if picture := call.options.get("--plot"):
        from assistant.show.plot import save

        save(found, Path(picture))
    if calendar := call.options.get("--ics"):
        from assistant.show.calendar import ics

        Path(calendar).write_bytes(ics(found, job=str(talk.state.job.get("name") or "job")))


def _as_json(found: Plan, talk: Talk, warned: list[str]) -> dict[str, Any]:
    return {
        "about": "finish", "finish": found.finish, "deadline": found.deadline, "holds": found.holds,
        "slack": found.slack_h, "critical": list(found.critical), "optimal": found.optimal, "bound": found.bound,
        "steps": [{"text": p.text, "piece": p.piece, "from": p.start, "to": p.end} for p in found.steps],
        "moves": [m.to_json() for m in moves(found, talk.state, talk.now)],
        "problems": [*found.problems, *(u.why for u in found.unplaced)], "warnings": warned,
    }  # fmt: skip
