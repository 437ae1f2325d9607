"""Numbers as people say them: each against what an English speaker means by it (common knowledge, no source)."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.language.numbers import number, ordinal

ONES = [
    "zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
]  # fmt: skip
TENS = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]


def spelt(n: int, *, with_and: bool = True, hyphen: bool = False) -> str:
    """Write a number from 0 to 9999 in words, as British English does."""
    if n < 20:
        return ONES[n]
    if n < 100:
        tens, unit = divmod(n, 10)
        return TENS[tens] + (("-" if hyphen else " ") + ONES[unit] if unit else "")
    size, name = (1000, "thousand") if n >= 1000 else (100, "hundred")
    head, rest = divmod(n, size)
    join = " and " if with_and and 0 < rest < 100 else " "
    return f"{ONES[head]} {name}" + (join + spelt(rest, with_and=with_and, hyphen=hyphen) if rest else "")


@settings(deadline=None)
@given(st.integers(0, 9999), st.booleans(), st.booleans())
def test_a_number_spelt_out_is_read_as_itself(n: int, with_and: bool, hyphen: bool) -> None:
    assert number(spelt(n, with_and=with_and, hyphen=hyphen)) == n


@settings(deadline=None)
@given(st.integers(0, 9_999_999))
def test_a_number_in_figures_is_read_with_and_without_commas(n: int) -> None:
    assert number(str(n)) == n
    assert number(f"{n:,}") == n


@settings(deadline=None)
@given(st.integers(0, 999), st.integers(0, 99))
def test_a_decimal_is_read_in_figures_and_in_words(whole: int, part: int) -> None:
    digits = f"{part:02d}"
    said = f"{spelt(whole)} point {' '.join(ONES[int(d)] for d in digits)}"
    assert number(f"{whole}.{digits}") == pytest.approx(whole + part / 100)
    assert number(said) == pytest.approx(whole + part / 100)


@pytest.mark.parametrize(
    ("said", "value"),
    [
        ("two and a half", 2.5),
        ("one hundred thousand", 100000),
        ("two hundred and two thousand", 202000),
        ("10k", 10000),
        ("three dozen", 36),
        ("1 point 1", 1.1),
        ("one hundred and three quarters", 100.75),
        ("three and a fifth", 3.2),
        ("one and three quarters", 1.75),
        ("seven and three eighths", 7.375),
        ("half", 0.5),
        ("a half", 0.5),
        ("a quarter", 0.25),
        ("three quarters", 0.75),
        ("two thirds", 2 / 3),
        ("1/2", 0.5),
        ("1 1/2", 1.5),
        ("2½", 2.5),
        ("¾", 0.75),
        ("a dozen", 12),
        ("half a dozen", 6),
        ("two dozen", 24),
        ("a couple of", 2),
        ("a hundred and one", 101),
        ("fifteen hundred", 1500),
        ("nought point five", 0.5),
        ("oh point two five", 0.25),
        ("minus two", -2),
        ("minus 3.5", -3.5),
        ("1,500", 1500),
        ("2,5", 2.5),  # a comma for the point, as on most of the Continent
    ],
)
def test_shares_dozens_and_signs(said: str, value: float) -> None:
    assert number(said) == pytest.approx(value)


@pytest.mark.parametrize(
    ("said", "grit"),
    [
        ("two forty", 240),
        ("three twenty", 320),
        ("one eighty", 180),
        ("one fifty", 150),
        ("two eighty", 280),
        ("one oh five", 105),
        ("six oh six", 606),
    ],
)
def test_a_number_said_in_two_as_grits_are(said: str, grit: int) -> None:
    assert number(said) == grit


@pytest.mark.parametrize(
    "said",
    [
        "",
        "and",
        "two and a",
        "five hundred and",
        "one two three",
        "two oh",
        "twelve ten five",
        "12,34,567",
        "a million",  # the size is not known, so it is no number rather than 1
        "1e3",
        "twenty eleven twelve",
        "three point",
        "1/0",
        "9" * 400,  # more than a float holds
        "point ፩",  # a digit to Unicode, not to arithmetic
    ],
)
def test_what_is_not_one_whole_number_is_none(said: str) -> None:
    assert number(said) is None


@settings(deadline=None)
@given(st.integers(1, 20), st.integers(1, 20))
def test_two_numbers_side_by_side_are_never_one_of_them(first: int, second: int) -> None:
    got = number(f"{first} {second}")
    assert got is None


ORDINALS = {
    "first": 1,
    "second": 2,
    "third": 3,
    "fourth": 4,
    "fifth": 5,
    "ninth": 9,
    "twelfth": 12,
    "twentieth": 20,
    "twenty first": 21,
    "thirty-first": 31,
    "forty second": 42,
    "hundredth": 100,
    "one hundred and third": 103,
    "two hundred and twelfth": 212,
    "2nd": 2,
    "3rd": 3,
    "11th": 11,
    "the second": 2,
}


@pytest.mark.parametrize(("said", "value"), ORDINALS.items())
def test_ordinals(said: str, value: int) -> None:
    assert ordinal(said) == value


@pytest.mark.parametrize("said", ["", "two", "second second", "first coat", "half", "1.5th", "the"])
def test_what_is_no_ordinal_is_none(said: str) -> None:
    assert ordinal(said) is None


@settings(deadline=None)
@given(st.text(alphabet="0123456789.,/:- ½²፩٣①halfndtwo", max_size=24))
def test_any_run_of_digits_and_signs_is_read_or_not_and_never_raises(said: str) -> None:
    for got in (number(said), ordinal(said)):
        assert got is None or got == got  # a number, never nan
