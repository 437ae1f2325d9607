"""Words, amounts and grits: what a stretch of a phrase can be.

Unit definitions: the imperial and United States gallon (Weights and Measures Act 1985, schedule 1: 4.54609 litres; NIST
Handbook 44, appendix C: 3.785411784 litres), the pound (0.45359237 kg exactly), degC = (degF - 32) x 5/9.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.language.tokens import tokens
from language.build import spans, tagged, whole

IMPERIAL_FL_OZ = 4546.09 / 160
US_FL_OZ = 3785.411784 / 128


@pytest.mark.parametrize(
    ("said", "cut"),
    [
        ("Second coat, please!", ["second", "coat", ",", "please", "!"]),
        ("750ml", ["750", "ml"]),
        ("P240", ["p", "240"]),
        ("twenty-five", ["twenty", "five"]),
        ("at 20:15", ["at", "20:15"]),
        ("2:1", ["2:1"]),
        ("the 2nd", ["the", "2nd"]),
        ("½ litre", ["1/2", "litre"]),
        ("2 a.m.", ["2", "am"]),
        ("it's didn't I'm", ["it", "is", "did", "not", "i", "am"]),
        ("the trim's dry", ["the", "trim", "'s", "dry"]),
        ("hatch trim @ noon", ["hatch", "trim", "at", "noon"]),
        ("sanded…then wiped", ["sanded", ",", "then", "wiped"]),
        ("ＨＡＴＣＨ", ["hatch"]),  # full-width letters, as some keyboards send them
        ("-5 degrees", ["-5", "degrees"]),
        ("", []),
    ],
)
def test_a_phrase_is_cut_as_it_is_spoken(said: str, cut: list[str]) -> None:
    assert [token.text for token in tokens(said)] == cut


@settings(deadline=None)
@given(st.text(max_size=80))
def test_no_letter_or_digit_of_a_phrase_is_lost_in_cutting(said: str) -> None:
    """Every word character stands inside some token's place."""
    from assistant.language.tokens import normal

    text = normal(said)
    covered = {k for token in tokens(said) for k in range(token.start, token.end)}
    assert all(k in covered or not (c.isalnum()) for k, c in enumerate(text))


AMOUNTS = [
    ("60 ml", 60, "ml"),
    ("sixty mil", 60, "ml"),
    ("three hundred mil", 300, "ml"),
    ("half a litre", 500, "ml"),
    ("1.5 litres", 1500, "ml"),
    ("a litre and a half", 1500, "ml"),
    ("two and a half litres", 2500, "ml"),
    ("5 cl", 50, "ml"),
    ("a quarter of a litre", 250, "ml"),
    ("a pint", 20 * IMPERIAL_FL_OZ, "ml"),
    ("half a pint", 10 * IMPERIAL_FL_OZ, "ml"),
    ("two fluid ounces", 2 * IMPERIAL_FL_OZ, "ml"),
    ("4 fl oz", 4 * IMPERIAL_FL_OZ, "ml"),
    ("a gallon", 4546.09, "ml"),
    ("100 g", 100, "g"),
    ("half a kilo", 500, "g"),
    ("two pounds", 907.18474, "g"),
    ("8 ounces", 226.796185, "g"),
    ("1,500 ml", 1500, "ml"),
]


@pytest.mark.parametrize(("said", "value", "unit"), AMOUNTS)
def test_amounts(said: str, value: float, unit: str) -> None:
    found = whole(said, "amount")
    assert found
    assert all(s.value.unit == unit and s.value.value == pytest.approx(value) for s in found)


def test_pints_and_ounces_are_american_where_the_job_says_so() -> None:
    for said, count in (("a pint", 16), ("4 fl oz", 4), ("a gallon", 128)):
        (found,) = (s for held in tagged(said, us=True).spans for s in held if s.tag == "amount")
        assert found.value.value == pytest.approx(count * US_FL_OZ)


def test_a_pint_may_be_said_to_be_of_one_country_or_the_other() -> None:
    for said, us, size in (
        ("a US pint", False, 16 * US_FL_OZ), ("an imperial pint", True, 20 * IMPERIAL_FL_OZ),
    ):  # fmt: skip
        (found,) = (s for held in tagged(said, us=us).spans for s in held if s.tag == "amount")
        assert found.value.value == pytest.approx(size)


@pytest.mark.parametrize(
    ("said", "metres"),
    [("20 square feet", 20 * 0.09290304), ("ten sq ft", 0.9290304), ("two square yards", 2 * 0.83612736)],
)
def test_areas_in_feet_and_yards(said: str, metres: float) -> None:
    """Factors: NIST SP 811, appendix B (square foot, square yard)."""
    (found,) = (s for held in tagged(said).spans for s in held if s.tag == "area")
    assert found.value.value == pytest.approx(metres)
    assert found.value.unit == "m2"


@pytest.mark.parametrize(
    ("said", "degrees"),
    [
        ("fourteen degrees", 14.0),
        ("9 degrees", 9.0),
        ("12.5 c", 12.5),
        ("minus two degrees", -2.0),
        ("two below", -2.0),
        ("three below zero", -3.0),
        ("50 fahrenheit", 10.0),
        ("68 degrees f", 20.0),
        ("14 °C", 14.0),
    ],
)
def test_temperatures(said: str, degrees: float) -> None:
    found = whole(said, "temp")
    assert found
    assert all(s.value.unit == "degC" and s.value.value == pytest.approx(degrees) for s in found)


@pytest.mark.parametrize(("said", "value"), [("10 percent", 10), ("ten per cent", 10), ("12.5 %", 12.5)])
def test_percents(said: str, value: float) -> None:
    assert [s.value.value for s in whole(said, "percent")] == [value]


@pytest.mark.parametrize(
    ("said", "grit"),
    [
        ("240", 240),
        ("two forty", 240),
        ("P320", 320),
        ("three twenty grit", 320),
        ("one eighty paper", 180),
        ("2 40", 240),
    ],
)
def test_grits(said: str, grit: int) -> None:
    assert grit in {s.value for s in whole(said, "grit")}


def test_a_number_that_is_no_grit_is_only_taken_for_one_when_it_is_said_to_be() -> None:
    assert not whole("247", "grit")
    assert {s.value for s in whole("247 grit", "grit")} == {247}
    known = min(s.doubt for s in whole("240 grit", "grit"))
    assert known < min(s.doubt for s in whole("247 grit", "grit"))


@pytest.mark.parametrize(
    ("said", "ratio"),
    [("2:1", (2, 1)), ("two to one", (2, 1)), ("five parts to one", (5, 1)), ("100 to 30", (100, 30))],
)
def test_ratios(said: str, ratio: tuple[int, int]) -> None:
    assert ratio in {s.value for s in spans(said, "ratio")}


def test_a_bare_decimal_is_no_clock_time_unless_a_word_says_so() -> None:
    assert not spans("used 0.50 of it", "clock")
    assert spans("used it at 0.50", "clock")
    assert spans("sanded it at 10.30", "clock")


def test_a_naught_is_no_clock_time() -> None:
    assert not spans("coat 0 on the hatch trim", "clock")


def test_a_span_lies_within_its_phrase_and_has_words() -> None:
    said = "sanded the hatch trim with two forty and put the second coat on at quarter to ten, 12 degrees"
    found = tagged(said)
    for i, held in enumerate(found.spans):
        assert all(s.i == i < s.j <= len(found.tokens) for s in held)


def test_until_and_from_to_take_the_times_after_them() -> None:
    assert {s.tag for s in spans("nine degrees until seven", "until")} == {"until"}
    found = next(s for s in spans("quiet from eight to half past nine", "range") if s.i == 1 and s.j == 7)
    first, second = found.value
    assert (first.clock.hours, first.clock.minute) == ((8, 20), 0)
    assert (second.clock.hours, second.clock.minute) == ((9, 21), 30)
