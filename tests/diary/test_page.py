"""The diary page: whole in itself, safe with any words, and right in a real browser."""

from __future__ import annotations

import base64
import wave
from collections.abc import Iterator
from datetime import date
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path

import pytest

from assistant.craft.day import Day, day
from assistant.journal.events import Fault, Note, Set
from assistant.show.page import page

from . import browser
from .build import corrected, job, t

SATURDAY = date(2026, 3, 14)
NOW = t("18:10")


ADDRESSES = ("src", "href", "poster", "data", "action", "srcset")


class Seen(HTMLParser):
    """Tags that are not closed in order, and every address in the page."""

    VOID = frozenset({"meta", "link", "br"})

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.addresses: list[str] = []
        self.wrong: list[str] = []
        self.tags: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.addresses += [v or "" for k, v in attrs if k in ("src", "href", "poster", "data", "action", "srcset")]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)


def read(html: str) -> Seen:
    seen = Seen()
    seen.feed(html)
    return seen


def saturday(folder: Path, *more: object, clips: Path | None = None) -> tuple[str, Day]:
    state, cards, entries = job(folder, *corrected(), *more)  # type: ignore[arg-type]
    found = day(entries, state, cards, SATURDAY, NOW)
    climate = [e.event for e in entries if e.event.kind == "climate"]
    return page(found, state, cards, climate=climate, clips=clips), found  # type: ignore[arg-type]


def test_the_page_is_well_formed_and_names_no_other_place(tmp_path: Path) -> None:
    seen = read(saturday(tmp_path)[0])
    assert not seen.wrong and not seen.open
    assert [a for a in seen.addresses if not a.startswith("data:")] == []
    assert "script" not in seen.tags


def test_words_of_the_journal_are_words_and_not_markup(tmp_path: Path) -> None:
    bad = '<script>alert(1)</script> & "quotes" \''
    html, _ = saturday(
        tmp_path,
        Set(what="piece", name=bad, values={}),
        Fault(piece=bad, fault="run", text=bad, at=t("17:00")),
        Note(text=bad, at=t("17:05")),
    )
    seen = read(html)
    assert "script" not in seen.tags and not seen.wrong and not seen.open


def test_clips_are_put_in_by_the_number_of_their_event(tmp_path: Path) -> None:
    clips = tmp_path / "clips"
    clips.mkdir()
    _, found = saturday(tmp_path)
    number = next(e.event.id for e in found.entries if e.event.kind == "sand")
    with wave.open(str(clips / f"{number}.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(b"\0\1" * 800)
    (clips / "notes.txt").write_text("not a clip")
    (clips / "999999.wav").write_bytes(b"of another day")
    html, _ = saturday(tmp_path, clips=clips)
    seen = read(html)
    assert seen.tags.count("audio") == 1
    data = next(a for a in seen.addresses if a.startswith("data:audio/wav;base64,"))
    assert base64.b64decode(data.split(",")[1]) == (clips / f"{number}.wav").read_bytes()


def test_a_day_without_anything_has_a_page_that_says_so(tmp_path: Path) -> None:
    state, cards, entries = job(tmp_path)
    html = page(day(entries, state, cards, date(2026, 3, 20), t("12:00", 20)), state, cards)
    assert "Nothing was told of" in html
    assert not read(html).wrong


@pytest.fixture(scope="module")
def chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[browser.Browser]:
    program = browser.found()
    if program is None:
        pytest.skip("no chromium on this machine: the page is only parsed here, not looked at")
    window = browser.Browser(program, tmp_path_factory.mktemp("profile"))
    yield window
    window.close()


def test_a_browser_shows_the_day_and_asks_nobody_for_anything(chromium: browser.Browser, tmp_path: Path) -> None:
    clips = tmp_path / "clips"
    clips.mkdir()
    _, found = saturday(tmp_path)
    with wave.open(str(clips / f"{found.entries[0].event.id}.wav"), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16000)
        file.writeframes(b"\0\0" * 16000)
    html, found = saturday(tmp_path, clips=clips)
    file_ = tmp_path / "day.html"
    file_.write_text(html, encoding="utf-8")
    chromium.size(1100, 1400)
    chromium.open(file_)
    asked = [u for u in chromium.requests if not u.startswith("data:")]
    assert asked == [file_.as_uri()]
    assert chromium.errors == []
    pieces = {e.event.piece for e in found.entries if getattr(e.event, "piece", None)}  # type: ignore[attr-defined]
    assert chromium.value("document.querySelectorAll('article').length") == len(pieces)
    assert chromium.value("document.querySelectorAll('.pieces li.coat').length") == 4
    assert chromium.value("document.querySelector('del').innerText") == "first coat of amber varnish"
    assert chromium.value("getComputedStyle(document.querySelector('h2')).color") == "rgb(29, 85, 72)"
    # The clip plays: a second of sound that the page itself carries.
    chromium.value("document.querySelector('audio').load()")
    for _ in range(100):
        if chromium.value("document.querySelector('audio').readyState") >= 1:
            break
    assert chromium.value("Math.round(document.querySelector('audio').duration)") == 1


@pytest.mark.parametrize("wide", [360, 820, 1400])
def test_nothing_runs_out_of_the_window(chromium: browser.Browser, tmp_path: Path, wide: int) -> None:
    file = tmp_path / "day.html"
    file.write_text(saturday(tmp_path)[0], encoding="utf-8")
    chromium.size(wide, 900)
    chromium.open(file)
    assert chromium.value("document.documentElement.scrollWidth") <= wide
    parts = "[...document.querySelectorAll('article,section,footer,header')]"
    assert chromium.value(f"{parts}.filter(e=>e.scrollWidth>e.clientWidth+1).length") == 0


def test_it_prints_on_two_sheets_with_the_place_to_sign(chromium: browser.Browser, tmp_path: Path) -> None:
    file = tmp_path / "day.html"
    file.write_text(saturday(tmp_path)[0], encoding="utf-8")
    chromium.open(file)
    pdf = base64.b64decode(chromium.call("Page.printToPDF", preferCSSPageSize=True, printBackground=True)["data"])
    sheets = pdf.count(b"/Type /Page\n") + pdf.count(b"/Type /Page ") + pdf.count(b"/Type /Page/")
    assert 1 <= sheets <= 2
    signs = chromium.value("[...document.querySelectorAll('.sign span')].map(e=>e.innerText)")
    assert signs == ["Done by", "Seen by", "Date"]


def test_marks_of_the_picture_stand_in_order_of_time(chromium: browser.Browser, tmp_path: Path) -> None:
    """What is later is further right: read off the screen, not off the source."""
    file = tmp_path / "day.html"
    file.write_text(saturday(tmp_path)[0], encoding="utf-8")
    chromium.size(1100, 1400)
    chromium.open(file)
    marks = chromium.value(
        "[...document.querySelectorAll('.timeline g')].map(g=>{const b=g.getBoundingClientRect();"
        "return [g.querySelector('title').textContent.slice(0,5),b.left+b.width/2]})"
    )
    assert len(marks) >= 9
    in_time = [x for _, x in sorted(marks)]
    assert all(later > earlier - 3 for earlier, later in pairwise(in_time))
    clocks = chromium.value(
        "[...document.querySelectorAll('.timeline .clock')].filter(e=>/^\\d\\d$/.test(e.textContent))"
        ".map(e=>[e.textContent,e.getBoundingClientRect().left])"
    )
    ten = next(x for label, x in clocks if label == "10")
    twelve = next(x for label, x in clocks if label == "12")
    third = next(x for clock, x in marks if clock == "10:05")
    assert abs((third - ten + 3) / (twelve - ten) - 5 / 120) < 0.05
