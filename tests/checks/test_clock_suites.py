"""The project's clock and numbers beside two open test suites of English times, durations and numbers.

Sources: Microsoft Recognizers-Text, ``Specs/`` (MIT), and Duckling's English corpora (BSD); each extract
under ``fixtures/clock`` names its file, commit, licence and what was left out. The suites are another
team's opinion, not the truth: where they and this project mean different things on purpose, the case
carries a ``cause``. A floor for each suite stands in ``fixtures/phrases/floors.toml``; run with ``-s`` to
see the disagreements by cause.
"""

from __future__ import annotations

import json
import math
import tomllib
from collections import defaultdict
from datetime import datetime, time
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

FIXTURES = Path(__file__).parents[1] / "fixtures"
SUITES = sorted(path.stem for path in (FIXTURES / "clock").glob("*_*.json"))
LONDON = ZoneInfo("Europe/London")
FORMATS = {"day": "%Y-%m-%d", "hour": "%Y-%m-%dT%H:00", "minute": "%Y-%m-%dT%H:%M"}
UNFORESEEN = "not foreseen"

Case = dict[str, Any]


def suite(name: str) -> dict[str, Any]:
    return json.loads((FIXTURES / "clock" / f"{name}.json").read_text(encoding="utf-8"))


def local(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=LONDON)


def near(want: float | None, got: float | None) -> bool:
    """Compare numbers as closely as the suites print them; None is "no number here"."""
    if want is None or got is None:
        return want is got
    return math.isclose(want, got, rel_tol=1e-9, abs_tol=1e-12)


def number_agrees(case: Case, _head: dict[str, Any]) -> tuple[bool, Any]:
    from assistant.language.numbers import number

    got = number(case["text"])
    return near(case["value"], got), got


def ordinal_agrees(case: Case, _head: dict[str, Any]) -> tuple[bool, Any]:
    from assistant.language.numbers import ordinal

    got = ordinal(case["text"])
    return got == case["value"], got


def duration_agrees(case: Case, _head: dict[str, Any]) -> tuple[bool, Any]:
    from assistant.language.clock import duration

    got = duration(case["text"])
    return near(case["value"], got.total_seconds() if got is not None else None), got


def clock_agrees(case: Case, head: dict[str, Any]) -> tuple[bool, Any]:
    """The clock time alone; where the text names no half of the day, either will do."""
    from assistant.language.clock import moment

    got = moment(case["text"], local(head["now"]), head["direction"])
    if got is None:
        return False, None
    want, here = time.fromisoformat(case["value"]), got.astimezone(LONDON)
    hours = {want.hour, (want.hour + 12) % 24} if case.get("either_half") else {want.hour}
    return here.hour in hours and here.minute == want.minute, here.isoformat()


def moment_agrees(case: Case, head: dict[str, Any]) -> tuple[bool, Any]:
    """To the grain the suite gives, or inside the interval it gives; both directions where it has both."""
    from assistant.language.clock import moment

    now = local(case.get("now", head["now"]))
    wants = {side: case[side] for side in ("past", "future") if side in case}
    if not wants:
        wants = {case.get("direction", head["direction"]): case.get("value")}
    gots = {side: moment(case["text"], now, side) for side in wants}
    shown = ", ".join(f"{side} {got.isoformat() if got else None}" for side, got in gots.items())
    if "from" in case:
        inside = [got is not None and local(case["from"]) <= got < local(case["to"]) for got in gots.values()]
        return all(inside), shown
    return all(at_grain(want, gots[side], case.get("grain", "minute")) for side, want in wants.items()), shown


def span_agrees(case: Case, head: dict[str, Any]) -> tuple[bool, Any]:
    """Both ends of what is to come, or one end and the word that makes it one."""
    from assistant.language.periods import Bound, Range, period
    from assistant.language.times import chunks_at
    from assistant.language.tokens import tokens
    from assistant.language.when import resolve

    now = local(head["now"])
    cut = [token for token in tokens(case["text"]) if token.text != ","]
    found = chunks_at([token.text for token in cut], 0, [token.kind for token in cut])
    whole = [f for f in found if f.end == len(cut) and isinstance(f.value, Bound if "edge" in case else Range)]
    if not whole:
        return False, None
    value = min(whole, key=lambda f: f.doubt).value
    if isinstance(value, Range):
        ends = period(value, now)
        return ends == (local(case["from"]), local(case["to"])), " to ".join(end.isoformat() for end in ends)
    assert isinstance(value, Bound)
    at = resolve(value.when, now, "future")
    return (value.edge, at) == (case["edge"], local(case["value"])), f"{value.edge} {at.isoformat()}"


def at_grain(want: str | None, got: datetime | None, grain: str) -> bool:
    if want is None or got is None:
        return want is got
    return got.astimezone(LONDON).strftime(FORMATS[grain]) == want


AGREES = {
    "number": number_agrees,
    "ordinal": ordinal_agrees,
    "duration": duration_agrees,
    "clock": clock_agrees,
    "moment": moment_agrees,
    "span": span_agrees,
}


def compare(name: str) -> tuple[dict[str, Any], dict[str, list[str]]]:
    """Give a suite and what it and the project disagree on, by cause."""
    head = suite(name)
    apart: dict[str, list[str]] = defaultdict(list)
    for case in head["cases"]:
        try:
            agrees, got = AGREES[head["kind"]](case, head)
        except ArithmeticError as error:  # an overflow is a disagreement, not the end of the count
            agrees, got = False, f"raised {error}"
        if not agrees:
            want = {k: v for k, v in case.items() if k not in ("text", "cause")}
            apart[case.get("cause", UNFORESEEN)].append(f"{case['text']!r}: {want}, here {got}")
    return head, apart


@pytest.mark.parametrize("name", [n for n in SUITES if suite(n)["kind"] in ("clock", "moment", "duration", "span")])
def test_what_can_be_said_of_a_deed_or_a_wait_is_read_as_the_suites_read_it(name: str) -> None:
    """The cases without a ``cause``: nothing in them is said otherwise here on purpose, or of no deed at all."""
    head, apart = compare(name)
    meant = sum("cause" not in case for case in head["cases"])
    assert 1 - len(apart[UNFORESEEN]) / meant >= 0.95, apart[UNFORESEEN]


@pytest.mark.parametrize("name", SUITES)
def test_agreement_with_the_open_suites_holds_its_floor(name: str) -> None:
    head, apart = compare(name)
    total = len(head["cases"])
    right = total - sum(map(len, apart.values()))
    print(f"\n{name}: {right} of {total} agree ({head['source']})")
    for cause, lines in sorted(apart.items()):
        print(f"  {cause}", *lines, sep="\n    ")
    floor = tomllib.loads((FIXTURES / "phrases" / "floors.toml").read_text(encoding="utf-8"))["clock"][name]
    assert right / total >= floor, f"{right} of {total}, floor {floor}; unforeseen: {apart[UNFORESEEN]}"


@pytest.mark.parametrize("name", SUITES)
def test_each_extract_says_where_it_is_from(name: str) -> None:
    head = suite(name)
    licences = json.loads((FIXTURES / "clock" / "licences.json").read_text(encoding="utf-8"))
    assert head["source"].split()[0] in licences
    assert len(head["commit"]) == 40
    texts = [case["text"] for case in head["cases"]]
    assert len(texts) == len(set(texts))
