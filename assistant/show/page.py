"""The diary as one HTML page: nothing fetched from anywhere, ready to print, with a place to sign."""

from __future__ import annotations

import base64
from collections.abc import Iterable
from html import escape
from pathlib import Path
from typing import Final

from assistant import __version__
from assistant.craft.day import Day
from assistant.craft.readiness import films_on
from assistant.craft.shelf import Cards, card_for
from assistant.dialogue.wording import amount, capital, ordinal
from assistant.journal.events import Climate, Event
from assistant.journal.state import Entry, State
from assistant.show.diary import Said, sections
from assistant.show.picture import colour, timeline
from assistant.show.style import CSS
from assistant.show.telling import act, by_piece, correction, heading, hours, many, mixed

#: Clips go into the page itself; past this many bytes of sound they are only named.
MOST_SOUND: Final = 12_000_000
_SOUNDS: Final = {".opus": "audio/ogg", ".ogg": "audio/ogg", ".wav": "audio/wav"}
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
    return (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">'
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; "
        'media-src data:; img-src data:">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f'<link rel="icon" href="data:,"><title>{escape(title)}</title><style>{CSS}</style></head>'
        f"<body><main>{''.join(body)}</main></body></html>\n"
    )


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
        return f'<audio controls preload="none" aria-label="{label}" src="data:{_SOUNDS[file.suffix]};base64,{data}"></audio>'


def _head(day: Day) -> str:
    t = day.totals
    job = f'<p class="job">{escape(capital(day.job))}</p>' if day.job else ""
    facts = [many(t.coats, "coat"), many(t.mixes, "mix"), many(t.pieces, "piece")]
    if t.hands_on is not None:
        facts.append(f"{hours(t.hands_on.value)} hands on")
    so_far = "" if day.whole else f'<p class="so-far">as of {day.at:%H:%M}, the day still running</p>'
    items = "".join(f"<li><b>{f.split(' ', 1)[0]}</b> {escape(f.split(' ', 1)[1])}</li>" for f in facts)
    return f'<header>{job}<h1>{escape(heading(day))}</h1>{so_far}<ul class="facts">{items}</ul></header>'


def _figure(day: Day, picture: str) -> str:
    if not day.entries:
        return '<p class="nothing">Nothing was told of.</p>'
    key = (
        "a disc is a coat with its number, the pale bar after it the film drying; strokes are sanding, a triangle a fault"
        if (day.last - day.first).days < 7
        else "dark: coats; pale: everything else that hands did"
    )
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
    """Show the coats on a piece, first to last, each over those before it."""
    films = [f for f in films_on(state, piece, day.at) if f.coat is not None][-24:]
    out = []
    for number, film in enumerate(films, 1):
        at = film.laid.astimezone(day.at.tzinfo)
        new = day.first <= at.date() <= day.last
        paint = colour(card_for(cards, film.product))
        depth = min(0.25 + 0.13 * number, 1.0)
        what = f"{ordinal(film.coat or 0)} coat of {film.product or 'something'}, {at.day} {at:%b %H:%M}"
        out.append(
            f'<li class="{"new" if new else "old"}" title="{escape(what, quote=True)}">'
            f'<i style="background:{paint};opacity:{depth:.2f}"></i><b>{film.coat}</b><small>{at.day} {at:%b}</small></li>'
        )
    if not out:
        return ""
    name = f"coats on the {piece} so far"
    return f'<ol class="swatches" aria-label="{escape(name, quote=True)}">{"".join(out)}</ol>'


def _item(day: Day, entry: Entry, sounds: _Sounds, said: Said) -> str:
    event = entry.event
    at = event.at.astimezone(day.at.tzinfo)
    when = f"{at:%H:%M}" if day.first == day.last else f"{at:%a} {at.day} {at:%b %H:%M}"
    done = escape(act(event))
    note = correction(entry, said, day.at.tzinfo)
    what = f"<del>{done}</del>" if entry.undone else done
    mark = f' <em class="corrected">{escape(note)}</em>' if note else ""
    return f'<li class="{event.kind}"><time datetime="{at.isoformat()}">{when}</time><span>{what}{mark}</span>{sounds.clip(event)}</li>'


def _besides(day: Day, sounds: _Sounds, said: Said) -> str:
    rest = by_piece(day.entries).get("", []) if len(day.entries) <= _ACTS else []
    if not rest:
        return ""
    items = "".join(_item(day, e, sounds, said) for e in rest)
    return f'<section class="besides"><h2>Besides</h2><ol>{items}</ol></section>'


def _lists(day: Day, said: Said | None) -> str:
    """Give the sections of the text that the page does not show in its own way."""
    own = {"Mixed", "Totals", "Besides", *(s.title for s in sections(day, said) if s.title[-1:] == ")")}
    wanted = {"Coats so far", "Air", "Faults", "Waiting", "First moves", "Day by day"}
    out = []
    for section in sections(day, said):
        if section.title in own or section.title not in wanted:
            continue
        tag = "ol" if section.title == "First moves" else "ul"
        lines = [line.split(". ", 1)[1] if tag == "ol" else line for line in section.lines]
        name = section.title.lower().replace(" ", "-")
        items = "".join(f"<li>{escape(line)}</li>" for line in lines)
        out.append(f'<section class="{name}"><h2>{section.title}</h2><{tag}>{items}</{tag}></section>')
    return f'<div class="lists">{"".join(out)}</div>'


def _totals(day: Day) -> str:
    t = day.totals
    rows = [(name, amount(a), "") for name, a in t.used] + [
        (name, amount(a), "thinner") for name, a in t.thinner
    ]
    mixes = "".join(
        f"<li>{m.at.astimezone(day.at.tzinfo):%H:%M} {escape(mixed(m))}</li>" for m in day.mixes[:60]
    )
    body = "".join(f"<tr><th>{escape(n)}</th><td>{escape(a)}</td><td>{k}</td></tr>" for n, a, k in rows)
    table = f"<table><caption>Product used</caption><tbody>{body}</tbody></table>" if body else ""
    missed = "".join(f"<li>{escape(u)}</li>" for u in t.uncounted[:6])
    return (
        f'<section class="totals"><div>{table}{f"<p>Not counted</p><ul>{missed}</ul>" if missed else ""}</div>'
        f"{f'<div><h2>Mixed</h2><ul>{mixes}</ul></div>' if mixes else ''}</section>"
    )


def _sign(day: Day, sounds: _Sounds) -> str:
    lines = "".join(f'<div class="line"><span>{name}</span></div>' for name in ("Done by", "Seen by", "Date"))
    bases = [
        "Coats not laid out of a pot are reckoned by area and spreading rate with a tenth lost in brush and kettle "
        "(common practice); mixes and what was said to be used are as measured.",
        f"Hours hands on: {day.totals.how}." if day.totals.hands_on else "",
        "Ready times are rounded up and follow the label or the material's card at the temperatures told; the label "
        "on the tin goes first.",
        f"{sounds.named} clips were too long to be put in." if sounds.named else "",
    ]
    small = " ".join(b for b in bases if b)
    return f'<footer><div class="sign">{lines}</div><p>{escape(small)}</p><p class="made">dabhand {__version__}</p></footer>'
