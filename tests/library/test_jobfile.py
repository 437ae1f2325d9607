"""Job files: what they give, and the line and key of whatever is wrong with one."""

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.journal.state import State, fold
from assistant.library.catalogue import Library
from assistant.library.jobfile import read_job
from assistant.problem import Problem

NOW = datetime(2026, 3, 14, 2, 5, tzinfo=UTC)

#: The shape of the public interface, to the letter.
LINNET = """\
[job]
name = "linnet"
timezone = "Europe/London"
deadline = 2026-03-22T18:00:00
sleep = ["23:00", "07:00"]
quiet = ["20:00", "08:00"]            # nothing noisy: no machine sanding, no hammering

[[space]]
name = "fore cabin"
temperature = "16 degC"

[[piece]]
name = "hatch trim"
also = ["hatch rail"]
space = "fore cabin"
area = "0.4 m2"

[[piece]]
name = "step treads"
space = "fore cabin"

[[label]]                             # what the tin's label or data sheet says
name = "amber varnish"
also = ["varnish"]
family = "varnish-polyurethane-1k"    # a card in models/
volume_solids = "45 percent"
thinner = { name = "thinner no. 2", max = "10 percent" }
[[label.times]]                       # one row for each temperature the label gives
at = "20 degC"
touch = "45 to 60 min"                # a range is the label's own spread: quote the late end as safe
dust = "1 h"
sand = "6 h"
overcoat = { min = "6 h", max = "72 h" }
cured = "7 days"
[[label.times]]
at = "10 degC"
touch = "2 h"
overcoat = { min = "12 h", max = "96 h" }

[[label]]
name = "tread epoxy"
family = "epoxy-adhesive"
ratio = { by = "volume", parts = ["resin 2", "hardener 1"] }
density = { resin = "1.15 g/ml", hardener = "1.00 g/ml" }
pot_life = { at = "20 degC", mass = "100 g", time = "30 min" }

[[tin]]
label = "amber varnish"
size = "750 ml"
opened = 2026-03-01

[[tin]]
label = "amber varnish"
size = "2.5 l"

[[task]]
piece = "hatch trim"
do = "varnish"                        # a sequence in models/, or a plain text with `takes`
coats = 5
label = "amber varnish"

[[task]]
do = "empty the bilge"
takes = "2 h"
after = "varnish hatch trim"
"""


@pytest.fixture
def load(tmp_path):
    def run(text, state=None, name="linnet.toml"):
        path = tmp_path / name
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
        return read_job(path, said_at=NOW, state=state or State())

    return run


def test_the_interfaces_file_becomes_set_events_in_an_order_that_can_be_replayed(load):
    events = load(LINNET)
    assert [(e.what, e.name) for e in events] == [
        ("job", "linnet"),
        ("space", "fore cabin"),
        ("label", "amber varnish"),
        ("label", "tread epoxy"),
        ("piece", "hatch trim"),
        ("piece", "step treads"),
        ("tin", "amber varnish#1"),
        ("tin", "amber varnish#2"),
        ("task", "varnish hatch trim"),
        ("task", "empty the bilge"),
    ]
    assert all(e.kind == "set" and e.at == e.said_at == NOW for e in events)


def test_values_stay_as_they_were_written_and_times_get_the_jobs_offset(load):
    values = {(e.what, e.name): e.values for e in load(LINNET)}
    assert values["job", "linnet"] == {
        "timezone": "Europe/London",
        "deadline": "2026-03-22T18:00:00+00:00",
        "sleep": ["23:00", "07:00"],
        "quiet": ["20:00", "08:00"],
    }
    assert values["space", "fore cabin"] == {"temperature": "16 degC"}
    assert values["piece", "hatch trim"] == {"also": ["hatch rail"], "space": "fore cabin", "area": "0.4 m2"}
    assert values["tin", "amber varnish#1"]["opened"] == "2026-03-01T00:00:00+00:00"
    assert values["label", "amber varnish"]["times"][0]["overcoat"] == {"min": "6 h", "max": "72 h"}


def test_summer_time_and_the_hour_that_the_clocks_skip(load):
    # The clocks of London go from 01:00 to 02:00 on 29 March 2026 (last Sunday of March; IANA Europe/London).
    def deadline(moment):
        return load(LINNET.replace("2026-03-22T18:00:00", moment))[0].values["deadline"]

    assert deadline("2026-04-02T18:00:00") == "2026-04-02T18:00:00+01:00"
    assert deadline("2026-03-29T01:30:00") == "2026-03-29T02:30:00+01:00"
    assert deadline("2026-04-02T18:00:00-05:00") == "2026-04-02T18:00:00-05:00"
    assert deadline("2026-04-02") == "2026-04-02T23:59:00+01:00"


def test_loading_twice_gives_nothing_and_one_change_gives_one_event(load):
    state = fold(load(LINNET))
    assert load(LINNET, state) == []
    changed = load(LINNET.replace('"0.4 m2"', '"0.5 m2"'), state)
    assert [(e.what, e.name, e.values["area"]) for e in changed] == [("piece", "hatch trim", "0.5 m2")]


def test_a_second_file_may_refer_to_what_the_journal_has(load):
    state = fold(load(LINNET))
    more = load('[[piece]]\nname = "cratch board"\nspace = "Fore Cabin"\nmeets = ["hatch trim"]\n', state)
    assert [(e.name, e.values) for e in more] == [("cratch board", {"space": "fore cabin", "meets": ["hatch trim"]})]


def test_the_labels_of_a_file_make_cards(load):
    library = Library(fold(load(LINNET)).labels)
    assert library.card("amber varnish").stages["touch"].rows[-1].hours == 1.0
    assert library.card("tread epoxy").ratio.by == "volume"


def test_american_measures_by_setting(load):
    text = '[settings]\nunits = "us"\n[[label]]\nname = "x"\nspreading = "400 sq ft per gallon"\n'
    events = load(text)
    assert (events[0].what, events[0].name, events[0].values) == ("setting", "units", {"value": "us"})
    state = fold(events)
    assert state.job["units"] == "us"
    assert load(text, state) == []


def test_tasks_of_one_name_are_told_apart(load):
    rows = '[[task]]\ndo = "sand"\ntakes = "1 h"\n' * 3
    assert [e.name for e in load(rows)] == ["sand", "sand 2", "sand 3"]


def test_the_name_of_the_file_names_a_job_that_has_none(load):
    (event,) = load('[job]\ntimezone = "Europe/London"\n')
    assert (event.what, event.name) == ("job", "linnet")


@pytest.mark.parametrize("text", [b"", b"# nothing yet\n", b"\xef\xbb\xbf[job]\r\nname = 'linnet'\r\n"])
def test_an_empty_file_and_one_from_another_system_are_fine(load, text):
    assert len(load(text)) == (b"job" in text)


def wrong(old, new, key, says):
    """Change ``old`` to ``new`` (``@`` marks the culprit's line) and expect ``key`` and ``says``."""
    return pytest.param(old, new, key, says, id=f"{key}: {says}")


WRONG = [
    # keys and tables
    wrong("[[space]]", "@[[spase]]", "spase", '"space"'),
    wrong('area = "0.4 m2"', '@aera = "0.4 m2"', "piece[1].aera", '"area"'),
    wrong('name = "step treads"', 'name = "step treads"\n@colour = "red"', "piece[2].colour", "no such key"),
    wrong('name = "linnet"', 'name = "linnet"\n@owner = "me"', "job.owner", "no such key"),
    wrong('sand = "6 h"', '@sanded = "6 h"', "label[1].times[1].sanded", '"sand"'),
    wrong('touch = "2 h"', '@tuch = "2 h"', "label[1].times[2].tuch", '"touch"'),
    wrong("[[space]]", "@[space]", "space", "[[space]]"),
    wrong("[job]", "@[[job]]", "job", "[job]"),
    wrong('max = "10 percent" }', 'most = "10 percent" }  # @', "label[1].thinner.most", "max"),
    # types
    wrong('area = "0.4 m2"', "@area = 0.4", "piece[1].area", "in quotes"),
    wrong('name = "hatch trim"', "@name = 3", "piece[1].name", "in quotes"),
    wrong('also = ["hatch rail"]', '@also = [["x"]]', "piece[1].also[1]", "text in quotes"),
    wrong("coats = 5", '@coats = "five"', "task[1].coats", "whole number"),
    wrong("coats = 5", "@coats = -1", "task[1].coats", "1 to 50"),
    wrong("coats = 5", '@noise = "yes"', "task[1].noise", "true or false"),
    wrong("opened = 2026-03-01", '@opened = "last week"', "tin[1].opened", "no date"),
    wrong("opened = 2026-03-01", "@opened = 3", "tin[1].opened", "no date"),
    wrong("deadline = 2026-03-22T18:00:00", '@deadline = "soon"', "job.deadline", "no date"),
    wrong("deadline = 2026-03-22T18:00:00", "@deadline = 18:00:00", "job.deadline", "no date"),
    wrong('sleep = ["23:00", "07:00"]', 'sleep = [\n"23:00",\n@"7 am",\n]', "job.sleep[2]", "clock"),
    wrong('sleep = ["23:00", "07:00"]', '@sleep = "23:00"', "job.sleep", "beginning and an end"),
    wrong('quiet = ["20:00", "08:00"]', '@quiet = ["20:00", "20:00"]', "job.quiet", "the same"),
    wrong('timezone = "Europe/London"', '@timezone = "Europe/Lundon"', "job.timezone", "Europe/London"),
    wrong('timezone = "Europe/London"', '@timezone = "../../etc/passwd"', "job.timezone", "no time zone"),
    wrong('name = "linnet"', 'name = "linnet"\n@units = "metric"', "job.units", "imperial"),
    # measures
    wrong('temperature = "16 degC"', '@temperature = "400 degC"', "space[1].temperature", "-40 to 60"),
    wrong('temperature = "16 degC"', '@temperature = "16"', "space[1].temperature", "no unit"),
    wrong('temperature = "16 degC"', '@humidity = "140 percent"', "space[1].humidity", "0 to 100"),
    wrong('area = "0.4 m2"', '@area = "-0.4 m2"', "piece[1].area", "negative"),
    wrong('area = "0.4 m2"', '@area = "3 min"', "piece[1].area", "not a measure of area"),
    wrong('size = "2.5 l"', '@size = "12 degC"', "tin[2].size", "not a measure of amount"),
    wrong('takes = "2 h"', '@takes = "2 ml"', "task[2].takes", "not a measure of time"),
    # references
    wrong('name = "step treads"\nspace = "fore cabin"', 'name = "step treads"\n@space = "fore cabn"',
          "piece[2].space", '"fore cabin"'),
    wrong('name = "step treads"', 'name = "step treads"\nmeets = [\n"hatch trim",\n@"hach trim"]',
          "piece[2].meets[2]", '"hatch trim"'),
    wrong('label = "amber varnish"\nsize = "2.5 l"', '@label = "amber vanish"\nsize = "2.5 l"',
          "tin[2].label", '"amber varnish"'),
    wrong('piece = "hatch trim"', '@piece = "hatch trimm"', "task[1].piece", '"hatch trim"'),
    wrong('coats = 5\nlabel = "amber varnish"', 'coats = 5\n@label = "paint"', "task[1].label", "no label"),
    wrong('after = "varnish hatch trim"', '@after = "varnish the hatch"', "task[2].after", "hatch trim"),
    wrong('family = "epoxy-adhesive"', '@family = "epoxy-adhesiv"', "label[2].family", '"epoxy-adhesive"'),
    # names
    wrong('name = "step treads"', '@name = "Hatch Trim"', "piece[2].name", "already"),
    wrong('name = "step treads"', 'name = "step treads"\n@also = ["hatch trim"]',
          "piece[2].also[1]", "another"),
    wrong('[[piece]]\nname = "step treads"', "@[[piece]]", "piece[2]", "no name"),
    wrong('name = "step treads"', '@name = " step treads"', "piece[2].name", "one line"),
    wrong('name = "step treads"', '@name = ""', "piece[2].name", "empty"),
    wrong('[[tin]]\nlabel = "amber varnish"\nsize = "2.5 l"', '@[[tin]]\nsize = "2.5 l"',
          "tin[2]", "no label"),
    wrong('[[task]]\ndo = "empty the bilge"', "@[[task]]", "task[2]", "nothing to do"),
    # labels
    wrong('touch = "45 to 60 min"', '@touch = "60 to 45 min"', "label[1].times[1].touch", "least above"),
    wrong('min = "12 h", max = "96 h" }', 'min = "97 h", max = "96 h" } # @',
          "label[1].times[2].overcoat.max", "never open"),
    wrong('touch = "2 h"', '@touch = "20 min"', "label[1].times[2].touch", "shorter as it gets colder"),
    wrong('[[label.times]]\nat = "10 degC"', "@[[label.times]]", "label[1].times[2]", "no temperature"),
    wrong('at = "10 degC"', '@at = "400 degC"', "label[1].times[2].at", "-40 to 60"),
    wrong('at = "20 degC", mass', 'mass', "label[2].pot_life", "no temperature"),
    wrong('ratio = { by = "volume", parts = ["resin 2", "hardener 1"]',
          '@ratio = { by = "volume", parts = ["resin 2", "hardener"]',
          "label[2].ratio.parts[2]", "its number"),
    wrong('hardener = "1.00 g/ml"', 'catalyst = "1.00 g/ml"', "label[2].density.catalyst", "no part"),
    wrong('size = "750 ml"', 'bought = 2026-03-05', "tin[1].opened", "before"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "key", "says"), WRONG)
def test_what_is_wrong_is_named_with_its_line_and_nothing_is_given(load, old, new, key, says):
    assert LINNET.count(old) >= 1
    text = LINNET.replace(old, new, 1)
    if "@" in text:
        line = text[: text.index("@")].count("\n") + 1
        text = text.replace("@", "", 1)
    else:  # the changed line itself, or for `opened` the one below it
        line = text[: text.index(new)].count("\n") + 1 + (key == "tin[1].opened")
    with pytest.raises(Problem) as caught:
        load(text)
    told = str(caught.value)
    assert told.startswith(f"linnet.toml line {line}: {key}: "), told
    assert says in told
    assert "\n" not in told


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (b'[job]\nname = "linnet\n', 2),
        (b'[job]\nname = "linnet"\n\nname = "again"\n', 4),
        (b'[job]\nname = "linnet"\n[job]\n', 3),
        (b"[job]\nname = linnet\n", 2),
        (b"[job]\ndeadline = 2026-02-30\n", 2),
        (b'[job]\nsleep = ["23:00",\n', 2),
        (b"a = " + b"[" * 5000, 1),
        (b'[job]\nname = "caf\xe9"\n', 2),
        (b"[job]\n\nname = \x00\n", 3),
        (b"\x89PNG\r\n\x1a\n\x00\x00", 1),
        (b"a = 9" + b"9" * 6000, 1),
    ],
)
def test_text_that_is_no_toml_is_one_line_with_its_line(load, text, line):
    with pytest.raises(Problem) as caught:
        load(text)
    assert str(caught.value).startswith(f"linnet.toml line {line}: "), str(caught.value)
    assert len(str(caught.value)) < 300


def test_a_second_times_row_is_found_after_windows_line_ends(load):
    text = LINNET.replace('touch = "2 h"', 'tuch = "2 h"')
    line = text[: text.index("tuch")].count("\n") + 1
    with pytest.raises(Problem, match=rf"line {line}: label\[1\]\.times\[2\]\.tuch"):
        load(text.replace("\n", "\r\n"))


@pytest.mark.parametrize(
    ("path", "says"),
    [
        ("absent.toml", "no file"),
        (".", "folder"),
        ("/dev/zero", "no job file"),
        ("x" * 5000, "cannot be read"),
    ],
)
def test_what_is_no_file_is_said(tmp_path, path, says):
    with pytest.raises(Problem, match=says):
        read_job(tmp_path / path, said_at=NOW, state=State())


def test_a_file_far_too_large_is_not_read(load):
    with pytest.raises(Problem, match="no job file"):
        load(b"#" * 1_000_001)


def test_a_label_is_checked_with_what_the_journal_has_of_it(load):
    state = fold(load(LINNET))
    text = '[[label]]\nname = "tread epoxy"\nratio = { by = "volume", parts = ["part a 2", "part b 1"] }\n'
    with pytest.raises(Problem, match=r"line 1: label\[1\]\.density\.\w+: the ratio has no part"):
        load(text, state)


@settings(max_examples=150, deadline=None)
@given(
    st.integers(0, len(LINNET)),
    st.integers(0, 40),
    st.sampled_from(["", "\n", '"', "]", "{", "= 3", "é", "\0"]),
)
def test_a_file_cut_or_smeared_anywhere_is_read_or_refused_in_one_line(start, length, smear):
    with TemporaryDirectory() as folder:
        path = Path(folder, "linnet.toml")
        path.write_text(LINNET[:start] + smear + LINNET[start + length :], encoding="utf-8")
        try:
            read_job(path, said_at=NOW, state=State())
        except Problem as problem:
            told = str(problem)
            line = int(told.removeprefix("linnet.toml line ").split(":")[0])
            assert 1 <= line <= path.read_text(encoding="utf-8").count("\n") + 1
            assert "\n" not in told


def test_the_also_of_a_label_is_a_list_even_when_it_is_one_name(load):
    (event,) = load('[[label]]\nname = "x"\nalso = "the good stuff"\n')
    assert event.values["also"] == ["the good stuff"]


def test_the_state_is_not_touched(load):
    state = fold(load(LINNET))
    before = replace(state)
    load(LINNET.replace('"0.4 m2"', '"0.5 m2"'), state)
    assert state == before
