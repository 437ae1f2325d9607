"""The plan shown: on a terminal and as a picture."""

from __future__ import annotations

from datetime import datetime
from io import BytesIO
from pathlib import Path
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest

from assistant.craft.plan.week import plan
from assistant.problem import Problem
from assistant.show import canvas, plot, timeline
from plan.build import NOW, VARNISH, film, job, shelf, week

PLAN = plan(week(20, 7, 1), shelf(), NOW, limit_s=0.0)


@pytest.mark.parametrize("width", [50, 60, 80, 100, 120, 200])
def test_no_line_is_wider_than_the_terminal(width: int):
    for blocks in (True, False):
        assert all(len(line) <= width for line in timeline.text(PLAN, NOW, width, blocks=blocks).splitlines())


def test_plain_is_plain_ascii():
    assert timeline.text(PLAN, NOW, 80, blocks=False).isascii()


def test_every_piece_has_a_row_and_every_step_a_line():
    shown = timeline.text(PLAN, NOW, 120)
    for placed in PLAN.steps:
        assert placed.text in shown
        assert f"{placed.start:%H:%M}-{placed.end:%H:%M}" in shown
    rows = [line for line in shown.splitlines() if line.strip().startswith("piece 1 ")]
    assert rows


def test_columns_of_hands_on_stand_at_the_hours_of_the_steps():
    """One coat 8:00 to 8:30 on a half-hour scale: column 16 of the first day, wet for two hours after it."""
    state = job({"rail": ("fore cabin", 0.4)}, [{"do": "varnish", "piece": "rail", "coats": 1, "label": VARNISH.name}])
    found = plan(state, shelf(), NOW, limit_s=0.0)
    row = next(r for r in timeline.text(found, NOW, 60, blocks=False).splitlines() if r.startswith("rail"))
    assert row[5:].index("#") == 16
    assert row[5:][17:21] == "~~~~"
    assert row[5:][21] == "-"


def test_the_verdict_stands_under_it():
    shown = timeline.text(PLAN, NOW, 100)
    assert "The deadline, " in shown and "holds" in shown
    assert "It hangs on: " in shown


def test_an_empty_plan_says_so():
    assert "Nothing is planned" in timeline.text(plan(job({}, []), shelf(), NOW), NOW)


def test_the_night_the_clocks_change_is_drawn():
    now = datetime(2026, 3, 28, 20, 0, tzinfo=ZoneInfo("Europe/London"))
    state = job({"rail": ("fore cabin", 0.4)}, [{"do": "varnish", "piece": "rail", "coats": 3, "label": VARNISH.name}],
                sleep=["23:00", "07:00"])  # fmt: skip
    found = plan(state, shelf(), now, limit_s=0.0)
    assert "Sun 29 Mar" in timeline.text(found, now, 80)
    assert plot.sheet(found).svg()


def texts(svg: bytes) -> list[str]:
    return [e.text or "" for e in ElementTree.fromstring(svg).iter("{http://www.w3.org/2000/svg}text")]


def test_the_svg_is_well_formed_and_names_every_piece():
    svg = plot.sheet(PLAN, title="Linnet & co <week>").svg()
    found = texts(svg)
    assert "Linnet & co <week>" in found
    assert {p.piece for p in PLAN.steps} <= set(found)
    root = ElementTree.fromstring(svg)
    width = float(root.get("width") or 0)
    for box in root.iter("{http://www.w3.org/2000/svg}rect"):
        if not (box.get("width") or "").endswith("%"):
            assert 0 <= float(box.get("x") or 0) <= width
            assert float(box.get("x") or 0) + float(box.get("width") or 0) <= width


def test_boxes_lie_where_the_hours_are():
    """The hands-on box of a step begins as far along the day as the step does: 8:00 is a third of the first day."""
    state = job({"rail": ("fore cabin", 0.4)}, [{"do": "varnish", "piece": "rail", "coats": 1, "label": VARNISH.name}])
    found = plan(state, shelf(), NOW, limit_s=0.0)
    box = next(m for m in plot.sheet(found).marks if isinstance(m, canvas.Box) and m.fill == plot.HANDS)
    day = plot.WIDTH - plot.LEFT - plot.RIGHT
    assert box.x == pytest.approx(plot.LEFT + day / 3, abs=0.1)
    assert box.width == pytest.approx(day / 48, abs=0.1)


def test_svg_and_png_are_written_by_their_ending(tmp_path: Path):
    image = pytest.importorskip("PIL.Image")
    plot.save(PLAN, tmp_path / "week.svg")
    plot.save(PLAN, tmp_path / "week.PNG")
    assert (tmp_path / "week.svg").read_bytes().startswith(b"<?xml")
    picture = image.open(BytesIO((tmp_path / "week.PNG").read_bytes()))
    assert picture.format == "PNG"
    assert picture.width == plot.WIDTH * canvas.SCALE
    colours = {c for _, c in picture.convert("RGB").getcolors(1 << 20)}
    for colour in (plot.HANDS, plot.WET, plot.DRYING):
        assert tuple(bytes.fromhex(colour[1:])) in colours


def test_other_endings_and_places_are_refused(tmp_path: Path):
    with pytest.raises(Problem, match=r"\.svg or \.png"):
        plot.save(PLAN, tmp_path / "week.pdf")
    with pytest.raises(Problem, match="cannot be written"):
        plot.save(PLAN, tmp_path / "no such folder" / "week.svg")


def test_a_window_that_shuts_shows():
    short = film("fast varnish", "varnish", 2.0, most=5.0)
    state = job({"rail": ("fore cabin", 0.4)}, [{"do": "varnish", "piece": "rail", "coats": 1, "label": short.name}],
                cards=[short])  # fmt: skip
    found = plan(state, shelf(short), NOW, limit_s=0.0)
    assert "!" in timeline.text(found, NOW, 60, blocks=False, steps=False).split("# hands on")[0]
    assert any(isinstance(m, canvas.Box) and m.fill == plot.SHUT for m in plot.sheet(found).marks[:-20])
