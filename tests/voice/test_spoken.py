"""A reply is spoken as a person says it."""

import pytest

from assistant.voice.spoken import cardinal, clock, ordinal, said


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("12 ml at 16:10", "twelve mil at ten past four"),  # the two examples of the task itself
        (
            "2:1 by volume: 66.7 ml and 33.3 ml",
            "two to one by volume: sixty six point seven mil and thirty three point three mil",
        ),
        ("Ready Sat 14 March 09:00", "Ready Saturday the fourteenth of March nine o'clock"),
        ("the window shuts at 12:00", "the window shuts at noon"),
        ("0.4 m2, 8-48 h", "nought point four square metres, eight to forty eight hours"),
        ("P240 to P320", "P two forty to P three twenty"),
        ("-3 °C", "minus three degrees"),
        ("1 h 30 min", "one hour thirty minutes"),
        ("humidity 65%", "humidity sixty five percent"),
        ("2026-03-14T02:05", "the fourteenth of March five past two"),
        ("1,250 ml", "one thousand two hundred and fifty mil"),
        ("the 2nd coat", "the second coat"),
        ("at 16:03", "at four oh three"),
        ("at 14:45", "at quarter to three"),
        ("thinner no. 2 (10 percent)", "thinner no. two, ten percent"),
    ],
)
def test_figures_units_and_times_are_said_in_words(written, spoken):
    # common practice: how a British workshop says them, no source
    assert said(written) == spoken


def test_every_clock_time_is_said_without_a_figure():
    for hour in range(24):
        for minute in range(60):
            words = said(f"{hour:02}:{minute:02}")
            assert words == clock(hour, minute)
            assert not any(c.isdigit() for c in words)


def test_numbers_read_back_to_themselves():
    """Read back by the language package's own number reader, which was written apart from this one."""
    from assistant.language.numbers import number

    for n in (*range(1, 130), 200, 240, 350, 999):
        assert number(cardinal(n)) == n


@pytest.mark.parametrize(
    ("n", "word"), [(1, "first"), (12, "twelfth"), (20, "twentieth"), (22, "twenty second"), (31, "thirty first")]
)
def test_ordinals(n, word):
    assert ordinal(n) == word


def test_plain_words_are_left_alone():
    assert said("Second coat on the hatch trim.") == "Second coat on the hatch trim."
