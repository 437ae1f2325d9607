"""``dabhand diary``: a day, a week or a piece, as text, Markdown, a page or JSON."""

from __future__ import annotations

import json
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from assistant import cli
from assistant.craft import day as craft
from assistant.journal.events import Climate, Event
from assistant.problem import Problem

if TYPE_CHECKING:
    from assistant.cli import Call
    from assistant.dialogue.talk import Talk

FORMATS = ("text", "md", "html", "json")


def first_told(talk: Talk, found: craft.Day) -> dict[int, Event]:
    """Give corrected events as they were first told, by id."""
    wanted = [e.event.id for e in found.entries if e.corrected]
    return {i: e for i in wanted for e in talk.journal.events(i, i)}


def run(call: Call) -> int:
    """Print the diary asked for; exit status 0."""
    form = "json" if call.json else call.options.get("--format", "text")
    if form not in FORMATS:
        raise Problem(f"there is no format {form}: choose {', '.join(FORMATS)}")
    with cli.open_session(call) as session:
        talk = session.talk(cli.moment(call.options.get("--at"), session.zone))
        print(_page(call, talk, form))
    return 0


def _page(call: Call, talk: Talk, form: str) -> str:
    found = _found(call, talk)
    said = first_told(talk, found)
    if form == "json":
        from assistant.show.diary import as_json

        return json.dumps(as_json(found), ensure_ascii=False)
    if form == "html":
        from assistant.show.page import page
        from assistant.voice.clips import folder_for

        climate = [e.event for e in found.entries if isinstance(e.event, Climate) and not e.undone]
        clips = folder_for(cli.journal_path(call))
        return page(found, talk.state, talk.cards, climate=climate, said=said, clips=clips if clips.is_dir() else None)
    from assistant.show.diary import markdown, text

    return markdown(found, said) if form == "md" else text(found, said)


def _found(call: Call, talk: Talk) -> craft.Day:
    zone = craft.zone_of(talk.state, talk.now)
    last = _day(" ".join(call.words), talk.now)
    piece = call.options.get("--piece")
    if piece is not None:
        if piece not in talk.state.pieces:
            raise Problem(f"there is no piece {piece}: there is {', '.join(talk.state.pieces) or 'none yet'}")
        entries = talk.journal.history(datetime(1970, 1, 2, tzinfo=zone), talk.now)
        return craft.of_piece(entries, talk.state, talk.cards, piece, talk.now)
    first = last - timedelta(days=6) if "--week" in call.flags else last
    entries = talk.journal.history(*craft.bounds(first, last, zone))
    return craft.day(entries, talk.state, talk.cards, first, talk.now, last=last)


def _day(words: str, now: datetime) -> date:
    if not words:
        return now.date()
    try:
        day = date.fromisoformat(words)
        if not 1970 <= day.year < 2200:
            raise Problem(f'"{words}" is no day of a job: write it like 2026-03-14')
        return day
    except ValueError:
        pass
    from assistant.language.clock import moment

    said = moment(words, now, "past")
    if said is None:
        raise Problem(f'"{words}" is no day: write it like 2026-03-17, or say yesterday')
    return said.date()
