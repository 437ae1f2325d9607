"""The Linnet's five days, replayed: the transcript that is printed in the examples is what the program says today.

``python -m tests.test_examples --write`` writes the transcript anew, where a reply is meant to change.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from difflib import unified_diff
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
EXAMPLES = ROOT / "examples"
JOB, SCRIPT, TRANSCRIPT = (EXAMPLES / name for name in ("linnet.toml", "linnet-week.txt", "linnet-week.out"))
#: Said to show what is not understood, and the answer that lets a question go.
MEANT_UNCLEAR = {"no"}
MEANT_ASKED = {"primed the mast", "coat of primer on the cabin door"}


def dabhand(*words: str) -> str:
    """Run a command in its own process and give what it prints."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONIOENCODING": "utf-8"}
    done = subprocess.run(
        [sys.executable, "-m", "assistant.cli", *words], capture_output=True, env=env, timeout=120, check=False
    )
    assert (done.returncode, done.stderr) == (0, b""), done.stderr.decode(errors="replace")
    return done.stdout.decode("utf-8")


@cache
def replayed(*flags: str) -> str:
    """Load the job on its first morning, replay the week, and give what that prints."""
    with tempfile.TemporaryDirectory() as place:
        journal = str(Path(place) / "linnet.sqlite")
        dabhand("load", str(JOB), "--at", "2026-03-16T08:00", "--job", journal)
        return dabhand("replay", str(SCRIPT), "--job", journal, *flags)


def phrases() -> list[tuple[str, str]]:
    """The day and the words of each line of the script."""
    lines = [line for line in SCRIPT.read_text(encoding="utf-8").splitlines() if line and not line.startswith("#")]
    return [(line[:10], line[16:].strip()) for line in lines]


def replies() -> list[dict]:
    return [json.loads(line) for line in replayed("--json").splitlines()]


def test_the_transcript_is_what_the_program_says() -> None:
    want, got = TRANSCRIPT.read_bytes(), replayed().encode()
    shown = "\n".join(
        unified_diff(
            want.decode().splitlines(), got.decode().splitlines(), "examples/linnet-week.out", "now", lineterm=""
        )
    )
    assert got == want, (
        f"read this as a person of the trade would; if it is meant: python -m tests.test_examples --write\n{shown}"
    )


def test_the_week_is_five_days_and_eighty_phrases_long() -> None:
    said = phrases()
    assert len(said) >= 80
    assert len({day for day, _ in said}) == 5


def test_every_phrase_of_the_script_has_its_reply() -> None:
    assert [r["heard"] for r in replies()] == [words for _, words in phrases()]
    assert "Traceback" not in replayed()


def test_nothing_is_unclear_or_asked_but_what_is_meant_to_be() -> None:
    found = {
        outcome: {r["heard"] for r in replies() if r["outcome"] == outcome}
        for outcome in ("unclear", "asked", "refused")
    }
    assert found == {"unclear": MEANT_UNCLEAR, "asked": MEANT_ASKED, "refused": set()}


def test_the_week_has_what_a_week_has() -> None:
    """Mistakes and corrections, a cold night, a tin gone hard, a fault, a pot, questions and the day read back."""
    events = [event for r in replies() for event in r["events"]]
    kinds = {event["kind"] for event in events}
    assert kinds >= {
        "coat",
        "sand",
        "strip",
        "clean",
        "fill",
        "mix",
        "bond",
        "fit",
        "climate",
        "fault",
        "tin",
        "gear",
        "note",
        "task",
        "undo",
        "amend",
    }
    assert any(e["kind"] == "tin" and e["change"] == "spoiled" for e in events)
    assert any(e["kind"] == "climate" and e["until"] and e["temperature"]["value"] <= 9 for e in events)
    about = {r["answer"]["about"] for r in replies() if r["answer"]}
    assert about >= {
        "touch",
        "sand",
        "overcoat",
        "dust",
        "dew",
        "mix",
        "thin",
        "pot_life",
        "status",
        "diary",
        "explain",
    }


def test_replies_are_short_enough_to_be_said_aloud() -> None:
    """Half a minute at 150 words a minute (common practice, no source); a day read back may be longer."""
    long = [
        (len(r["reply"].split()), r["heard"])
        for r in replies()
        if not (r["answer"] and r["answer"]["about"] in ("diary", "status", "explain"))
    ]
    assert max(long)[0] <= 80, max(long)


def test_every_number_of_a_coat_follows_the_one_before_unless_it_was_put_right() -> None:
    """By the end the trims have had the four coats that the job asks for and the board its three."""
    from collections import Counter

    laid: Counter[str] = Counter()
    taken_back = {i for r in replies() for e in r["events"] if e["kind"] == "undo" for i in e["of"]}
    for event in (e for r in replies() for e in r["events"] if e["kind"] == "coat" and e["id"] not in taken_back):
        if event["product"] == "amber varnish":
            laid[event["piece"]] += 1
            assert event["coat"] == laid[event["piece"]]
    assert laid == {"hatch trim": 4, "companionway trim": 4, "cratch board": 3}


if __name__ == "__main__":
    if sys.argv[1:] != ["--write"]:
        sys.exit("usage: python -m tests.test_examples --write")
    TRANSCRIPT.write_bytes(replayed().encode())
    print(f"{TRANSCRIPT.relative_to(ROOT)}: {len(replayed().splitlines())} lines")
