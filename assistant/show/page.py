"""The diary as one HTML page: nothing fetched from anywhere, ready to print, with a place to sign."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from functools import cache
from html import escape
from pathlib import Path
from typing import Final

from assistant import __version__
from assistant.craft.day import Day
from assistant.craft.readiness import films_on
from assistant.craft.shelf import Cards, card_for
from assistant.craft.waits import planned
from assistant.journal.events import Climate, Event
from assistant.journal.state import Entry, State
from assistant.show.diary import Said, sections
from assistant.show.picture import FORTNIGHT, colour, timeline
from assistant.show.telling import act, by_piece, correction, heading, hours, many
from assistant.wording import amount, capital, ordinal

#: Clips go into the page itself; past this many bytes of sound they are only named.
MOST_SOUND: Final = 12_000_000
_SOUNDS: Final = {".opus": "audio/ogg", ".ogg": "audio/ogg", ".wav": "audio/wav"}
_NOTHING_FETCHED: Final = "default-src 'none'; style-src 'unsafe-inline'; media-src data:; img-src data:"
_BASES: Final = (
    "Coats not laid out of a pot are reckoned by area and spreading rate, with a tenth lost in brush and "
    "kettle (common practice); mixes and what was said to be used are as measured.",
    "Ready times are rounded up and follow the label, or the material's card, at the temperatures told; the "
    "label on the tin goes first.",
)
#: A page of more acts than this tells them by day.
_ACTS: Final = 2000


def page(
    day: Day, state: State, cards: Cards, *,
    climate: Iterable[Climate] = (), said: Said | None = None, clips: Path | None = None,
) -> str:  # fmt: skip
    """Give the page. ``climate`` are the readings to draw; ``clips`` a folder of ``<event id>.wav|.opus``."""
    sounds = _Sounds(clips)
    title = f"{capital(day.job)} · {heading(day)}" if day.job else heading(day)
    body = [
        _head(day), _figure(day, timeline(day, state, cards, climate)),
        _pieces(day, state, cards, sounds, said or {}), _besides(day, sounds, said or {}), _lists(day, said),
        _totals(day), _sign(day, sounds),
    ]  # fmt: skip
    kind = "day" if day.first == day.last else "span"
    return (
        f'<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        f'<meta http-equiv="Content-Security-Policy" content="{_NOTHING_FETCHED}">'
        f'<meta name="viewport" content="width=device-width, initial-scale=1"><link rel="icon" href="data:,">'
        f"<title>{escape(title)}</title><style>{_css()}</style></head>"
        f'<body class="{kind}"><main>{"".join(body)}</main></body></html>\n'
    )


@cache
def _css() -> str:
    return Path(__file__).with_name("page.css").read_text(encoding="utf-8")


class _Sounds:
    """The clips of a folder, put into the page while there is room."""

    def __init__(self, folder: Path | None) -> None:
        self.left = MOST_SOUND
        self.named = 0
        self.files: dict[int, Path] = {}
        if folder is not None and folder.is_dir():
            for file in sorted(folder.iterdir()):
                if file.suffix in _SOUNDS and file.stem.isdecimal():
                    self.files.setdefault(int(file.stem), file)

    def clip(self, event: Event) -> str:
        file = self.files.get(event.id)
        if file is None:
            return ""
        try:
            size = file.stat().st_size
            if size > self.left:
                self.named += 1
                return f'<span class="clip">{escape(file.name)}</span>'
            data = base64.b64encode(file.read_bytes()).decode()
        except OSError:
            return ""
        self.left -= size
        label = escape(f"what was said at {event.at:%H:%M}")
        source = f"data:{_SOUNDS[file.suffix]};base64,{data}"
        return f'<audio controls preload="none" aria-label="{label}" src="{source}"></audio>'


def _head(day: Day) -> str:
    t = day.totals
    job = f'<p class="job">{escape(capital(day.job))}</p>' if day.job else ""
    facts = [many(t.coats, "coat"), many(t.mixes, "mix"), many(t.pieces, "piece")]
    if t.hands_on is not None:
        facts.append(f"{hours(t.hands_on.value)} hands on")
    running = "the day" if day.first == day.last else f"{day.at:%A}"
    so_far = "" if day.whole else f'<p class="so-far">as of {day.at:%H:%M}, {running} still running</p>'
    items = "".join(f"<li><b>{f.split(' ', 1)[0]}</b> {escape(f.split(' ', 1)[1])}</li>" for f in facts)
    return f'<header>{job}<h1>{escape(heading(day))}</h1>{so_far}<ul class="facts">{items}</ul></header>'


def _figure(day: Day, picture: str) -> str:
    if not day.entries:
        return '<p class="nothing">Nothing was told of.</p>'
    key = "disc: a coat and its number; pale bar: the film drying; strokes: sanding; triangle: a fault"
    if (day.last - day.first).days >= FORTNIGHT:
        key = "dark: coats; pale: everything else that hands did"
    return f"<figure>{picture}<figcaption>{key}</figcaption></figure>"


def _pieces(day: Day, state: State, cards: Cards, sounds: _Sounds, said: Said) -> str:
    if len(day.entries) > _ACTS:
        return ""
    out = []
    for piece, entries in by_piece(day.entries).items():
        if not piece:
            continue
        space = day.spaces.get(piece) or state.space_of(piece)
        where = f' <span class="space">{escape(space)}</span>' if space else ""
        out.append(
            f"<article><h2>{escape(capital(piece))}{where}</h2>{_swatches(day, state, cards, piece)}"
            f"<ol>{''.join(_item(day, e, sounds, said) for e in entries)}</ol></article>"
        )
    return f'<section class="pieces">{"".join(out)}</section>' if out else ""


def _swatches(day: Day, state: State, cards: Cards, piece: str) -> str:
    """Show the coats on a piece, first to last, each over those before it, and those still planned."""
    films = [f for f in films_on(state, piece, day.at) if f.coat is not None][-24:]
    out = []
    for number, film in enumerate(films, 1):
        at = film.laid.astimezone(day.at.tzinfo)
        new = "new" if day.first <= at.date() <= day.last else "old"
        look = f"background:{colour(card_for(cards, film.product))};opacity:{min(0.22 + 0.16 * number, 1):.2f}"
        what = f"{ordinal(film.coat or 0)} coat of {film.product or 'something'}, {at.day} {at:%b %H:%M}"
        out.append(
            f'<li class="{new}" title="{escape(what)}"><i style="{look}"></i><b>{film.coat}</b>'
            f"<small>{at.day} {at:%b}</small></li>"
        )
    on = {f.product: f.coat or 0 for f in films}
    for product, wanted in planned(state, piece).items():
        for number in range(on.get(product, 0) + 1, min(wanted, 24) + 1):
            what = escape(f"{ordinal(number)} coat of {product}, to come")
            out.append(f'<li class="to-come" title="{what}"><i></i><b>{number}</b></li>')
    name = escape(f"coats on the {piece} so far, and to come")
    return f'<ol class="swatches" aria-label="{name}">{"".join(out)}</ol>' if out else ""


def _item(day: Day, entry: Entry, sounds: _Sounds, said: Said) -> str:
    event = entry.event
    at = event.at.astimezone(day.at.tzinfo)
    when = f"{at:%H:%M}" if day.first == day.last else f"{at:%a} {at.day} {at:%b %H:%M}"
    done = escape(act(event))
    note = correction(entry, said, day.at.tzinfo)
    what = f"<del>{done}</del>" if entry.undone else done
    mark = f' <em class="corrected">{escape(note)}</em>' if note else ""
    time = f'<time datetime="{at.isoformat()}">{when}</time>'
    return f'<li class="{event.kind}">{time}<span>{what}{mark}</span>{sounds.clip(event)}</li>'


def _besides(day: Day, sounds: _Sounds, said: Said) -> str:
    rest = by_piece(day.entries).get("", []) if len(day.entries) <= _ACTS else []
    if not rest:
        return ""
    items = "".join(_item(day, e, sounds, said) for e in rest)
    return f'<section class="besides"><h2>Pots and the rest</h2><ol>{items}</ol></section>'


def _lists(day: Day, said: Said | None) -> str:
    """Give the sections of the text that the page does not show in its own way."""
    wanted = ["Air", "Faults", "Waiting", "First moves", "Day by day"]
    if len(day.entries) > _ACTS:
        wanted.append("Coats so far")
    out = []
    for title, lines in sections(day, said):
        if title not in wanted:
            continue
        tag = "ol" if title == "First moves" else "ul"
        name = title.lower().replace(" ", "-")
        items = "".join(f"<li>{escape(li.split('. ', 1)[1] if tag == 'ol' else li)}</li>" for li in lines)
        out.append(f'<section class="{name}"><h2>{title}</h2><{tag}>{items}</{tag}></section>')
    return f'<div class="lists">{"".join(out)}</div>'


def _totals(day: Day) -> str:
    t = day.totals
    rows = [*((n, a, "") for n, a in t.used), *((n, a, "thinner") for n, a in t.thinner)]
    body = "".join(f"<tr><th>{escape(n)}</th><td>{amount(a)}</td><td>{kind}</td></tr>" for n, a, kind in rows)
    table = f"<table><caption>Product used</caption><tbody>{body}</tbody></table>" if body else ""
    missed = "".join(f"<li>{escape(u)}</li>" for u in t.uncounted[:6])
    more = f"<div><h2>Not counted</h2><ul>{missed}</ul></div>" if missed else ""
    return f'<section class="totals"><div>{table}</div>{more}</section>' if table or more else ""


def _sign(day: Day, sounds: _Sounds) -> str:
    lines = "".join(f'<div class="line"><span>{who}</span></div>' for who in ("Done by", "Seen by", "Date"))
    how = [f"Hours hands on: {day.totals.how}."] if day.totals.hands_on else []
    cut = [f"{sounds.named} clips were too long to be put in."] if sounds.named else []
    small = escape(" ".join([*_BASES, *how, *cut]))
    made = f'<p class="made">dabhand {__version__}</p>'
    return f'<footer><div class="sign">{lines}</div><p>{small}</p>{made}</footer>'
