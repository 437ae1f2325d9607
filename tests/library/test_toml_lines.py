"""Lines of keys, checked by looking at the lines."""

import tomllib

from assistant.library.lines import places

TEXT = '''# a comment with [[piece]] and key = "value"
[job]
name = "a [[b]] # not a comment"
sleep = [
  "23:00",   # the first
  "07:00",
]
"odd key".under = "dotted"
long = """
first "quoted"
[[not a table]]
last"""
[[label]]
name = 'literal # name'
[[label.times]]
at = "first row"
[[label.times]]
at = "second row"
overcoat = { min = "inline min", max = "inline max" }
[[label]]
name = "second label"
parts = [["nested one"], ["nested two", "nested three"]]
[label.thinner]
name = "sub table"
[[label.times]]
at = "row of the second"
'''


def leaves(value, path=()):
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from leaves(inside, (*path, key))
    elif isinstance(value, list):
        for i, inside in enumerate(value):
            yield from leaves(inside, (*path, i))
    else:
        yield path, value


def test_every_value_stands_on_the_line_that_is_given_for_it():
    found, lines = places(TEXT), TEXT.splitlines()
    checked = 0
    for path, value in leaves(tomllib.loads(TEXT)):
        line = lines[found[path] - 1]
        assert (value in line) or (path[-1] == "long" and line.startswith("long")), path
        checked += 1
    assert checked == 16


def test_a_table_stands_on_the_line_of_its_header():
    found = places(TEXT)
    lines = TEXT.splitlines()
    headers = [i + 1 for i, line in enumerate(lines) if line == "[[label.times]]"]
    assert [
        found["label", 0, "times", 0],
        found["label", 0, "times", 1],
        found["label", 1, "times", 0],
    ] == headers
    assert found["job",] == 2
    assert lines[found["label", 1, "thinner"] - 1] == "[label.thinner]"


def test_a_file_without_a_last_line_end_and_an_empty_one():
    assert places("") == {}
    assert places('a = "x"') == {("a",): 1}
