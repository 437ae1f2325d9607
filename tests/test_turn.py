"""One turn, end to end: what is said, what the journal gains, what comes back.

The phrases under ``SAMPLES`` and what they must come to are those of the job the program is for; the figures in
the answers are worked by hand beside them. Facts of the trade here are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from dialogue.build import LONDON, NOW, Linnet, Said, bare, only, t
from dialogue.promises import promises

from assistant.language.phrasing import expand, samples, spoken


@pytest.fixture
def say(tmp_path: Path) -> Iterator[Linnet]:
    with Linnet(tmp_path) as talk:
        yield talk


@pytest.fixture(scope="module")
def long_talk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Linnet]:
    """One talk for the checks that hold whatever went before."""
    with Linnet(tmp_path_factory.mktemp("talk")) as talk:
        talk("second coat on the hatch trim at noon", "mixed 60 ml of epoxy")
        yield talk


# -- the samples ----------------------------------------------------------------------------------------

COAT, SAND = {"kind": "coat"}, {"kind": "sand"}
SAMPLES: list[tuple[str, list[Said]]] = [
    (
        "second coat on companionway trim at 2am",
        [
            COAT
            | {"piece": "companionway trim", "coat": 2, "product": "amber varnish", "at": "2026-03-18T02:00:00+00:00"}
        ],
    ),
    (
        "last night at half ten I gave the treads a coat of primer",
        [COAT | {"piece": "step treads", "coat": 1, "product": "grey primer", "at": "2026-03-17T22:30:00+00:00"}],
    ),
    (
        "2nd coat hatch trim 20:15",
        [COAT | {"piece": "hatch trim", "coat": 2, "product": "amber varnish", "at": "2026-03-17T20:15:00+00:00"}],
    ),
    (
        "secnd coat of varnsh on the hach trim at noon",
        [COAT | {"piece": "hatch trim", "coat": 2, "product": "amber varnish", "at": "2026-03-18T12:00:00+00:00"}],
    ),
    (
        "sanded the doors with two forty and put the third coat on at quarter to ten",
        [
            SAND | {"piece": "port cabin door", "grit": 240, "at": "2026-03-18T09:45:00+00:00"},
            SAND | {"piece": "starboard cabin door", "grit": 240, "at": "2026-03-18T09:45:00+00:00"},
            COAT | {"piece": "port cabin door", "coat": 3, "at": "2026-03-18T09:45:00+00:00"},
            COAT | {"piece": "starboard cabin door", "coat": 3, "at": "2026-03-18T09:45:00+00:00"},
        ],
    ),
    (
        "rubbed down the rail with 320 twenty minutes ago",
        [SAND | {"piece": "hatch trim", "grit": 320, "at": "2026-03-18T13:40:00+00:00"}],
    ),
    (
        "mixed up sixty mil of epoxy",  # 2 to 1 by volume: 60 is 40 and 20
        [
            {
                "kind": "mix",
                "product": "tread epoxy",
                "amount": {"value": 60.0, "unit": "ml"},
                "ratio": [2.0, 1.0],
                "at": "2026-03-18T14:00:00+00:00",
                "parts": [
                    {"name": "resin", "amount": {"value": 40.0, "unit": "ml"}},
                    {"name": "hardener", "amount": {"value": 20.0, "unit": "ml"}},
                ],
            },
        ],
    ),
    (
        "it's fourteen degrees in the fore cabin",
        [
            {
                "kind": "climate",
                "space": "fore cabin",
                "temperature": {"value": 14.0, "unit": "degC"},
                "at": "2026-03-18T14:00:00+00:00",
            }
        ],
    ),
    (
        "turned the heating down, nine degrees until seven",
        [
            {
                "kind": "climate",
                "temperature": {"value": 9.0, "unit": "degC"},
                "at": "2026-03-18T14:00:00+00:00",
                "until": "2026-03-18T19:00:00+00:00",
            }
        ],
    ),
    (
        "there's a run in the undercoat on the bulkhead",
        [
            {
                "kind": "fault",
                "piece": "bulkhead",
                "fault": "run",
                "text": "there's a run in the undercoat on the bulkhead",
                "at": "2026-03-18T14:00:00+00:00",
            }
        ],
    ),
    (
        "the sealer has gone hard in the tin",
        [{"kind": "tin", "product": "clear sealer", "change": "spoiled", "at": "2026-03-18T14:00:00+00:00"}],
    ),
]


def misread(known: dict[str, str], phrase: str) -> list[pytest.MarkDecorator]:
    """The mark of a phrase that is known to be misread."""
    return [pytest.mark.xfail(strict=True, reason=known[phrase])] if phrase in known else []


@pytest.mark.parametrize(("phrase", "events"), [pytest.param(p, events, id=p) for p, events in SAMPLES])
def test_a_sample_is_logged_as_what_it_says(phrase: str, events: list[Said], say: Linnet) -> None:
    reply = say(phrase)
    promises(reply, phrase)
    assert [bare(e) for e in reply["events"]] == events


@pytest.mark.parametrize(
    ("phrase", "about"),
    [
        ("how much hardener for 60 ml", "mix"),
        pytest.param(
            "I want three hundred mil mixed",
            "mix",
            marks=pytest.mark.xfail(strict=True, reason="wanting an amount mixed is not read as a question"),
        ),
        ("can I make dust in the galley", "dust"),
        pytest.param(
            "what have I got on",
            "status",
            marks=pytest.mark.xfail(strict=True, reason="what is on is answered under another kind when nothing is"),
        ),
        ("read me today", "diary"),
    ],
)
def test_a_sample_is_answered(phrase: str, about: str, say: Linnet) -> None:
    reply = say.silent(phrase)
    promises(reply, phrase)
    assert reply["outcome"] == "answered"
    assert reply["answer"]["about"] == about


def test_hardener_for_sixty_is_half_of_it_and_the_other_reading_a_third(say: Linnet) -> None:
    answer = say("how much hardener for 60 ml")["answer"]
    assert answer["reading"] == "base"
    assert answer["parts"] == [
        {"name": "resin", "amount": {"value": 60.0, "unit": "ml"}},
        {"name": "hardener", "amount": {"value": 30.0, "unit": "ml"}},
    ]
    assert answer["total"] == {"value": 90.0, "unit": "ml"}
    assert answer["other_reading"] == [
        {"name": "resin", "amount": {"value": 40.0, "unit": "ml"}},
        {"name": "hardener", "amount": {"value": 20.0, "unit": "ml"}},
    ]


@pytest.mark.xfail(strict=True, reason="wanting an amount mixed is not read as a question")
def test_three_hundred_mixed_is_two_and_one_and_too_big_a_pot(say: Linnet) -> None:
    reply = say("I want three hundred mil mixed")
    assert reply["answer"]["reading"] == "total"
    assert [p["amount"]["value"] for p in reply["answer"]["parts"]] == [200.0, 100.0]
    assert reply["cautions"]  # the label's pot life is for 100 g


def test_too_damp_asks_for_what_it_does_not_know_and_then_answers(say: Linnet) -> None:
    asked = say.silent("is it too damp to varnish")
    assert asked["outcome"] == "asked"
    assert "humidity" in asked["reply"]
    say.forget()
    say("humidity is 60 percent", "it's fourteen degrees in the fore cabin")
    answer = say("is it too damp to varnish in the fore cabin")["answer"]
    # at 14 degrees and 60 percent the dew point is 6.4 degrees (psychrometric tables)
    assert answer["about"] == "dew"
    assert answer["dew_point"]["value"] == pytest.approx(6.4, abs=0.1)
    assert answer["ok"] is True


def test_dust_in_the_galley_waits_for_what_is_wet_there(say: Linnet) -> None:
    assert say("can I make dust in the galley")["answer"]["ready"] is True
    say("first coat of primer on the bulkhead at ten to two")
    answer = say("can I make dust in the galley")["answer"]
    assert (answer["ready"], answer["piece"]) == (False, "bulkhead")
    assert t(NOW).fromisoformat(answer["earliest"]) > t("2026-03-18 15:50")  # two hours at 20 degrees, and it is 17
    assert say("can I make dust in the fore cabin")["answer"]["ready"] is True


def test_what_is_on_and_the_day_hold_what_was_said(say: Linnet) -> None:
    say("second coat on the hatch trim at noon", "sanded the bulkhead with 120")
    pieces = {row["piece"] for row in say("what have I got on")["answer"]["pieces"]}
    assert pieces >= {"hatch trim", "bulkhead"}
    day = say("read me today")["answer"]
    assert (day["day"], [e["kind"] for e in day["entries"]]) == ("2026-03-18", ["coat", "sand"])


# -- the interface's keys, whatever is said -----------------------------------------------------------------

SHAPES = [
    (kind.name, list(expand(shape))[-1])
    for kind in spoken()
    for shape in kind.shapes[:1]
    if kind.name not in ("finish", "whatif", "next")
]


@pytest.mark.parametrize(("kind", "shape"), SHAPES, ids=[name for name, _ in SHAPES])
def test_every_kind_of_turn_keeps_the_interfaces_promises(kind: str, shape: str, long_talk: Linnet) -> None:
    words = samples(long_talk.session.state)
    phrase = shape
    for slot, held in words.items():
        phrase = phrase.replace(f"<{slot}>", held[0])
    long_talk.forget()
    promises(long_talk.at(NOW)(phrase), phrase)


# -- bad input ------------------------------------------------------------------------------------------

BAD: list[tuple[str, str]] = [
    ("", "unclear"),
    ("   ", "unclear"),
    ("\n\t", "unclear"),
    ("x" * 5000, "unclear"),
    ("coat " * 1000, "unclear"),
    ("🎉🎉🚤", "unclear"),
    ("rm -rf / ; cat /etc/passwd", "unclear|refused"),
    ("'; DROP TABLE event; --", "unclear|refused"),
    ("\x00", "unclear"),
    ("?", "unclear|refused"),
    ("...", "unclear|refused"),
    ("did you see the football", "unclear"),
    ("the cat sat on the mat", "refused"),
    ("what's the capital of France", "unclear"),
    ("mixed 0 ml of epoxy", "refused"),
    ("mixed -5 ml of epoxy", "refused"),
    ("how much hardener for 0 ml", "refused"),
    ("used minus 20 ml of varnish", "refused"),
    ("mixed 99999999999999999999 ml of epoxy", "refused"),
    ("60 degrees of resin", "unclear"),
    ("how much hardener for 60 degrees", "unclear"),
    ("sanded the bulkhead with 60 ml", "unclear"),
    ("it's 400 degrees in the galley", "refused"),
    ("-40 degrees in the galley", "refused"),
    ("humidity 150 percent", "refused"),
    ("coat of varnish on the hatch trim tomorrow at nine", "refused"),
    ("coat of varnish on the hatch trim in two hours", "refused"),
    ("first coat of varnish on the hatch trim on 20 march at ten", "refused"),
    ("coat 0 on the hatch trim", "unclear|refused"),
    ("zeroth coat on the hatch trim", "unclear|refused"),
    ("99th coat on the hatch trim", "refused"),
    ("first coat on the hatch trim at 25:00", "unclear"),
    ("first coat on the hatch trim at half past thirteen", "unclear"),
    ("first coat on the hatch trim on 30 february", "unclear"),
    ("first coat on the hatch trim on 29 february 2023", "unclear"),
    ("first coat on the hatch trim 999999999999 hours ago", "unclear"),
    ("sanded the bulkhead quarter past ፩", "unclear|logged"),
    ("first coat of varnish on the hatch trim thinned 110 percent", "refused"),
    ("sanded the hatch trim with 7 grit", "refused"),
    ("how much hardener for 60 ml of varnish", "refused"),
    ("coat of varnish on the mast", "asked"),
    ("coat of unobtainium on the hatch trim", "unclear"),
    ("first coat, second coat on the hatch trim", "unclear|asked"),
    ("second coat on", "asked"),
    ("sanded", "asked"),
    ("coat " + "9" * 400, "unclear|asked"),
]


#: Bad input that is misread, and how.
BAD_MISREAD = {
    "sanded the hatch trim with 7 grit": "a grit that no paper has is dropped and the sanding is logged without it",
    "how much hardener for 60 degrees": "degrees beside hardener are ignored and the label's ratio is given",
    "rm -rf / ; cat /etc/passwd": "it is taken for hours of absence and asks from when to when",
    "did you see the football": "a question outside the trade counts as answered with nothing known",
    "coat " + "9" * 400: "a number of hundreds of digits is repeated twice in the reply, which is too long",
}


@pytest.mark.parametrize(
    ("phrase", "outcome"),
    [pytest.param(p, outcome, id=repr(p[:40]), marks=misread(BAD_MISREAD, p)) for p, outcome in BAD],
)
def test_bad_input_gets_one_clear_line_and_changes_nothing(phrase: str, outcome: str, say: Linnet) -> None:
    before = say.export()
    reply = say(phrase)
    promises(reply, phrase)
    assert reply["outcome"] in outcome.split("|")
    assert "\n" not in reply["reply"]
    assert len(reply["reply"]) < 200 + min(len(phrase), 600)
    if reply["outcome"] != "logged":
        kept = say.gained(before)
        assert kept == [] or (reply["outcome"] == "unclear" and [e["kind"] for e in kept] == ["unread"])


@pytest.mark.parametrize("phrase", [
    "first coat on the hatch trim at 25:00", "slotted the bulkhead", "sanded the bulkhead with 60 ml",
])  # fmt: skip
def test_telling_that_is_not_understood_is_kept_as_heard_and_is_no_entry(phrase: str, say: Linnet) -> None:
    before = say.export()
    reply = say(phrase)
    assert (reply["outcome"], reply["events"]) == ("unclear", [])
    assert [(e["kind"], e["text"]) for e in say.gained(before)] == [("unread", phrase)]
    assert "not logged" in reply["reply"]


def test_a_date_that_is_not_in_the_calendar_is_not_taken_for_today(say: Linnet) -> None:
    assert say.silent("first coat on the hatch trim on 2026-02-30")["outcome"] != "logged"


def test_a_figure_with_letters_in_it_is_not_the_figure_after_them(say: Linnet) -> None:
    assert say.silent("1e9 ml of epoxy mixed")["outcome"] != "logged"


def test_the_day_after_the_interface_says_at_nine_ten_was_last_night(say: Linnet) -> None:
    assert only(say.at("2026-03-18 14:00")("sanded the bulkhead at ten"))["at"] == "2026-03-18T10:00:00+00:00"
    assert only(say.at("2026-03-18 09:00")("sanded the bulkhead at ten"))["at"] == "2026-03-17T22:00:00+00:00"


def test_in_the_hour_that_comes_twice_nothing_is_logged_for_later(say: Linnet) -> None:
    now = t("2026-10-25 01:45")  # the first of the two
    event = only(say.session.take("sanded the bulkhead at half past one", now).to_json())
    assert event["at"] == "2026-10-25T01:30:00+01:00"
    again = only(say.session.take("sanded the bulkhead at half past one", now.replace(fold=1)).to_json())
    assert again["at"] == "2026-10-25T01:30:00+00:00"


# -- an empty job and a job of one ------------------------------------------------------------------------


def test_an_empty_job_asks_and_never_guesses(tmp_path: Path) -> None:
    from assistant.turn import Session

    with Session.open(tmp_path / "new.sqlite") as session:
        for phrase in (
            "second coat on the hatch trim at noon",
            "when can I sand the hatch trim",
            "how much hardener for 60 ml",
            "what have I got on",
        ):
            reply = session.take(phrase, t(NOW)).to_json()
            promises(reply, phrase)
            assert reply["outcome"] != "logged"
        assert {event.kind for event in session.journal.events()} <= {"unread"}  # kept as heard: no entry
        assert session.state.work == {}


def test_the_zone_is_the_jobs_own_wherever_the_machine_is(say: Linnet) -> None:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    now = datetime(2026, 6, 10, 23, 0, tzinfo=ZoneInfo("Asia/Tokyo"))  # 15:00 in London
    reply = say.session.take("sanded the bulkhead at noon", now).to_json()
    assert reply["at"] == "2026-06-10T15:00:00+01:00"
    assert only(reply)["at"] == "2026-06-10T12:00:00+01:00"
    assert say.session.zone == LONDON


def test_what_a_terminal_would_obey_is_kept_out_of_a_note(say: Linnet) -> None:
    """ECMA-48: ESC [ begins a control sequence, BEL rings."""
    assert only(say("note the hatch\x1b[31m leaks\x07again"))["text"] == "the hatch [31m leaks again"


def test_the_stock_is_told_to_a_tenth_of_a_millilitre(say: Linnet) -> None:
    answer = say("how much varnish have I got left")["answer"]
    assert all(answer[key]["value"] == round(answer[key]["value"], 1) for key in ("left", "needed"))


def test_a_pot_that_is_just_gone_and_one_minute_are_said_as_people_say_them(say: Linnet) -> None:
    """100 g of epoxy at the engine room's 12 degrees is good for half an hour at 20: it is gone well after an hour."""
    say("mixed 60 ml of epoxy")
    ends = say("how long have I got")["answer"]["ends"]
    say.now = say.now.fromisoformat(ends) - timedelta(minutes=1, seconds=10)
    assert say("how long have I got")["reply"].startswith("1 minute left")
