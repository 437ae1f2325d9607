"""Unscripted talk, judged entry by entry: what ten people told over a week, and what each phrase should have logged.

Each folder of ``fixtures/unscripted`` is one speaker with a job of their own: ``job.toml``, ``phrases.txt`` (a moment
and a phrase a line, told in order to one journal) and ``gold.jsonl`` (for each phrase the entries wanted, or lists of
equal worth under ``or``; ``ask`` where a question back is as good). They were written by people who had not seen the
program read anything. A phrase is right if all wanted entries came and no other did, wrong if any other did.

``python tests/unscripted.py [VOICE] [VERDICT ...]`` prints the counts, with a verdict the phrases that came out so.
"""

from __future__ import annotations

import json
import sys
import tempfile
import tomllib
from collections import Counter
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from assistant.turn import Session

FOLDER = Path(__file__).parent / "fixtures" / "unscripted"
_TIMES = ("at", "from", "to", "until", "due", "not_before", "ring", "began")
_UNITS = {"ml": 1, "l": 1000, "g": 1, "kg": 1000, "min": 1, "h": 60}
#: A clock time is right within so many minutes where the gold says nothing else.
_TOLERANCE = 15


@dataclass(frozen=True)
class Judged:
    """One phrase with its verdict: right, wrong, or in what way it was not logged; ``why`` names what differs."""

    number: int
    said: str
    verdict: str
    why: tuple[str, ...]
    reply: dict[str, Any]


def judged(folder: Path) -> list[Judged]:
    """Tell a speaker's phrases to a journal of their own and judge each."""
    zone = ZoneInfo(tomllib.loads((folder / "job.toml").read_text())["job"].get("timezone", "Europe/London"))
    lines = [line for line in (folder / "phrases.txt").read_text().splitlines() if line.strip()]
    gold = [json.loads(line) for line in (folder / "gold.jsonl").read_text().splitlines() if line.strip()]
    moments = [datetime.fromisoformat(line[:16]).replace(tzinfo=zone) for line in lines]
    entries: dict[int, dict[str, Any]] = {}
    out: list[Judged] = []
    with tempfile.TemporaryDirectory() as home, Session.open(Path(home) / "job") as session:
        session.load(folder / "job.toml", moments[0] - timedelta(hours=2))
        for number, (line, now, wanted) in enumerate(zip(lines, moments, gold, strict=True), 1):
            reply = session.take(line[16:].strip(), now).to_json()
            entries |= {e["id"]: e for e in reply["events"]}
            ways = [wanted["want"], *wanted.get("or", [])]
            verdict, why = min(
                (_compared(w, reply["events"], entries, now) for w in ways), key=lambda v: _ORDER.index(v[0])
            )
            if verdict == "missing":
                verdict = {"logged": "dropped", "answered": "beside"}.get(reply["outcome"], reply["outcome"])
                verdict = "right" if verdict == "asked" and wanted.get("ask") else verdict
            out.append(Judged(number, line, verdict, why, reply))
    return out


_ORDER = ("right", "missing", "wrong")


def _compared(
    wanted: list[dict[str, Any]], events: list[dict[str, Any]], entries: dict[int, dict[str, Any]], now: datetime
) -> tuple[str, tuple[str, ...]]:
    left = [e for e in events if e["kind"] != "unread"]
    missing = []
    for want in wanted:
        hit = next((e for e in left if _fits(want, e, entries, now)), None)
        if hit is None:
            missing.append("missing " + json.dumps(want, ensure_ascii=False))
        else:
            left.remove(hit)
    extra = [f"extra {e['kind']}" for e in left if e["kind"] != "note" and set(e.get("changes") or ()) != {"text"}]
    return ("wrong" if extra else "missing" if missing else "right"), (*missing, *extra)


def _fits(want: dict[str, Any], event: dict[str, Any], entries: dict[int, dict[str, Any]], now: datetime) -> bool:
    within = want.get("tol", _TOLERANCE)
    plain = {k: v for k, v in want.items() if k not in ("tol", "of", "changes", "times")}
    if not all(_same(k, v, event.get(k), within, now) for k, v in plain.items()):
        return False
    changes = event.get("changes") or {}
    if not all(_same(k, v, changes.get(k), within, now) for k, v in want.get("changes", {}).items()):
        return False
    if "of" not in want:
        return True
    ids = event.get("of")
    targets = [entries[i] for i in (ids if isinstance(ids, list) else [ids]) if i in entries]
    return any(all(_same(k, v, t.get(k), within, now) for k, v in want["of"].items()) for t in targets)


def _same(key: str, want: Any, got: Any, within: float, now: datetime) -> bool:
    if want is None or got is None:
        return want is None and got in (None, [], "")
    if key in _TIMES and len(str(want)) == len("18:00"):  # of every day
        return datetime.fromisoformat(got).astimezone(now.tzinfo).strftime("%H:%M") == want
    if key in _TIMES:
        at = datetime.fromisoformat(f"{now.year}-{want}").replace(tzinfo=now.tzinfo)
        return abs((datetime.fromisoformat(got) - at).total_seconds()) <= within * 60
    if key in ("amount", "temperature", "humidity", "thinned"):
        value, unit = str(want).split() if isinstance(want, str) else (str(want["value"]), str(want["unit"]))
        number = float(value) * _UNITS.get(unit, 1)
        return abs(number - got["value"]) <= max(0.02 * abs(number), 0.3)
    if key in ("text", "part", "item"):
        return all(w.lower() in str(got).lower() for w in (want if isinstance(want, list) else [want]))
    if key == "fault" and isinstance(want, list):
        return got in want
    if isinstance(want, str) and isinstance(got, str):
        return want.lower() == got.lower()
    return bool(want == got)


def main() -> None:
    """Print the counts of every speaker, and the phrases of the verdicts that were asked for."""
    asked = sys.argv[1:]
    for folder in sorted(FOLDER.iterdir()):
        if asked and asked[0] != folder.name:
            continue
        found = judged(folder)
        for one in found:
            if one.verdict in asked[1:]:
                print(f"{one.number:03d} {one.verdict.upper()} {one.said}")
                print(f"    {'; '.join(one.why)}\n    {one.reply['reply'][:200]}")
        counts = Counter(one.verdict for one in found)
        share = {v: round(100 * counts[v] / len(found), 1) for v in ("right", "wrong")}
        print(folder.name, len(found), share, dict(counts))


if __name__ == "__main__":
    main()
