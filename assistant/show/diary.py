"""A day told: as text, spoken, Markdown and JSON (the public ``diary`` answer)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, NamedTuple

from assistant.craft.day import Brief, Day
from assistant.craft.readiness import WORDS as STAGES
from assistant.craft.times import spoken as clock_word
from assistant.journal.events import Event, Unread, to_json
from assistant.quantity import Amount
from assistant.reply import plain
from assistant.show.telling import (
    act,
    air,
    by_piece,
    correction,
    heading,
    hours,
    many,
    mixed,
    so_far,
    summed_up,
    wait,
    when,
)
from assistant.wording import amount, capital, listed

#: A minute of speech at an easy pace.
WORDS: Final = 150
_A_FAULT: Final = {"dust": "dust", "bloom": "bloom", "other": "a fault"}
#: Said aloud where not all the work could be.
_MORE: Final = "The rest is in the diary."
#: Longer spans are told a line a day.
_WEEK: Final = 7
Said = Mapping[int, Event]


class Section(NamedTuple):
    """A heading and its lines."""

    title: str
    lines: list[str]


def sections(day: Day, said: Said | None = None) -> list[Section]:
    """Give the diary as headings and lines; ``said`` are corrected events as first told, by id."""
    out = _work(day, said or {})
    rest = [
        ("Coats so far", [f"{c.piece}: {so_far(c)}" for c in day.coats]),
        ("Mixed", [f"{_when(day, m)}  {mixed(m)}" for m in day.mixes] if _short(day) else []),
        ("Air", [air(a) for a in day.air]),
        ("Faults", [f"{_when(day, f)}  {f.piece or 'somewhere'}: {act(f)}" for f in day.faults]),
        ("Waiting", [wait(w, day.at) for w in day.waiting]),
        ("First moves", [_move(day, i) for i in range(len(day.moves))]),
        ("Totals", totals_lines(day)),
        ("Still unread", [_open(day, u) for u in day.unread]),
    ]
    return [*out, *(Section(title, lines) for title, lines in rest if lines)]


def text(day: Day, said: Said | None = None) -> str:
    """Give the diary for a terminal."""
    title = heading(day) if not day.job else f"{capital(day.job)} · {heading(day)}"
    lines = [title, "=" * len(title)]
    found = sections(day, said)
    if not day.entries:
        lines += ["", "Nothing was told of."]
    for section in found:
        lines += ["", section.title, *(f"  {line}" for line in section.lines)]
    return "\n".join(lines) + "\n"


def markdown(day: Day, said: Said | None = None) -> str:
    """Give the diary as Markdown."""
    title = heading(day) if not day.job else f"{capital(day.job)}: {heading(day)}"
    lines = [f"# {_escaped(title)}"]
    if not day.entries:
        lines += ["", "Nothing was told of."]
    for section in sections(day, said):
        lines += ["", f"## {_escaped(section.title)}", "", *(f"- {_escaped(line)}" for line in section.lines)]
    return "\n".join(lines) + "\n"


def _escaped(line: str) -> str:
    for mark in "\\`*_[]<>#|":
        line = line.replace(mark, "\\" + mark)
    return " ".join(line.split())


def _short(day: Day) -> bool:
    return (day.last - day.first).days < _WEEK or day.piece is not None


def _work(day: Day, said: Said) -> list[Section]:
    if not day.entries:
        return []
    if day.days and day.piece is None:
        if _short(day):
            return [Section(f"{b.day:%A} {b.day.day} {b.day:%B}", _of_day(day, b)) for b in day.days]
        return [Section("Day by day", [_brief(b) for b in day.days])]
    out = []
    told = [e for e in day.entries if not isinstance(e.event, Unread)]  # what of them is open has a place of its own
    for piece, entries in by_piece(told).items():
        space = day.spaces.get(piece)
        title = f"{capital(piece)} ({space})" if space else capital(piece) or "Besides"
        lines = [_line(day, e.event, correction(e, said, day.at.tzinfo), e.undone) for e in entries]
        out.append(Section(title, lines))
    return out


def _line(day: Day, event: Event, note: str, undone: bool) -> str:
    done = act(event)
    at = _when(day, event)
    if undone:
        return f"{at}  ({done}: taken back)"
    return f"{at}  {done}" + (f"  [{note}]" if note else "")


def _when(day: Day, event: Event) -> str:
    zone = day.at.tzinfo
    at = event.at.astimezone(zone)
    return when(event, zone) if day.first == day.last else f"{at:%a} {at.day} {at:%b} {when(event, zone)}"


def _open(day: Day, unread: Unread) -> str:
    zone = day.at.tzinfo
    heard = unread.at.astimezone(zone)
    date = "" if heard.date() == day.first == day.last else f"{heard:%a} {heard.day} {heard:%b} "
    return f"{date}{when(unread, zone)}  “{unread.text}”"


def _of_day(day: Day, brief: Brief) -> list[str]:
    zone = day.at.tzinfo
    mine = [e for e in day.entries if not e.undone and e.event.at.astimezone(zone).date() == brief.day]
    lines = []
    for piece, entries in by_piece(mine).items():
        done = summed_up(e.event for e in entries)
        if done:
            lines.append(f"{piece}: {done}" if piece else done)
        lines += [f"{piece}: {act(e.event)}" for e in entries if e.event.kind == "fault"]
    return lines


def _brief(brief: Brief) -> str:
    parts = [many(n, word) for n, word in (
        (brief.coats, "coat"), (brief.acts - brief.coats - brief.mixes, "other act"), (brief.mixes, "pot"),
        (brief.faults, "fault"),
    ) if n]  # fmt: skip
    pieces = list(brief.pieces)
    where = listed([*pieces[:3], f"{len(pieces) - 3} more"]) if len(pieces) > 4 else listed(pieces)
    told = ", ".join(parts) + (f", {hours(brief.hands_on)}" if brief.hands_on else "")
    return f"{brief.day:%a} {brief.day.day} {brief.day:%b}  {told}" + (f": {where}" if where else "")


def _move(day: Day, number: int) -> str:
    move = day.moves[number]
    at = "" if move.at is None else f", from {clock_word(move.at, day.at)}"
    return f"{number + 1}. {move.text}{at}" + (f" ({move.why})" if move.at is None else "")


def totals_lines(day: Day) -> list[str]:
    """Give the totals, a line each, with how the hours were come by."""
    t = day.totals
    counts = [
        many(t.coats, "coat"),
        many(t.mixes, "mix"),
        f"{many(t.acts, 'act')} on {many(t.pieces, 'piece')}",
    ]
    lines = [", ".join(counts)] if t.acts else []
    if t.hands_on is not None:
        lines.append(f"hands on {hours(t.hands_on.value)} ({t.how})")
    if t.used:
        lines.append("used " + listed(f"{amount(_whole(a))} of {name}" for name, a in t.used))
    if t.thinner:
        lines.append("thinner " + listed(f"{amount(_whole(a))} of {name}" for name, a in t.thinner))
    return [*lines, *(f"not counted: {why}" for why in t.uncounted[:6])]


def _whole(said: Amount) -> Amount:
    return Amount(float(round(said.value)), said.unit) if said.value >= 20 else said


# -- spoken ----------------------------------------------------------------------------------------------


def spoken(day: Day, most: int = WORDS) -> str:
    """Tell the day as a person does, in at most ``most`` words (a minute); what tells least is left out."""
    if not day.entries:
        return " ".join([f"Nothing was told of {_called(day)}.", *_unread_told(day)])
    told = [
        (0, [_opening(day)]), (3, _work_told(day)), (4, _coats_told(day)), (2, _mixes_told(day)),
        (2, _air_told(day)), (1, _faults_told(day)), (0, _waits_told(day)), (0, _moves_told(day)),
        (0, _unread_told(day)),
    ]  # fmt: skip
    order = sorted((rank, i, j) for i, (rank, lines) in enumerate(told) for j in range(len(lines)))
    kept: set[tuple[int, int]] = set()
    budget = most - len(_MORE.split())
    for _, i, j in order:
        if (words := len(told[i][1][j].split())) <= budget:
            kept.add((i, j))
            budget -= words
    out = []
    for i, (_, lines) in enumerate(told):
        out += [line for j, line in enumerate(lines) if (i, j) in kept]
        if i == 1 and any((i, j) not in kept for j in range(len(lines))):
            out.append(_MORE)
    return " ".join(out)


def _called(day: Day) -> str:
    return f"{day.first:%A}" if day.first == day.last else "those days"


def at_it(day: Day) -> str:
    """Give how long there was work that day, and since when: ``2 and a half hours, since 08:40.``."""
    done = [e.event.at for e in day.entries if not e.undone]
    if not done:
        return "Nothing was told of today." if day.first == day.at.date() else f"Nothing was told of {_called(day)}."
    since = f"since {clock_word(min(done), day.at)}"
    hands_on = day.totals.hands_on
    return capital(f"{_spoken_hours(hands_on.value)} at it, {since}.") if hands_on else capital(f"{since}.")


def _opening(day: Day) -> str:
    t = day.totals
    on_it = f", {_spoken_hours(t.hands_on.value)} at it" if t.hands_on and t.hands_on.value >= 0.25 else ""
    if day.first == day.last:
        return f"{day.first:%A} the {_nth(day.first.day)}{on_it}."
    what = f"On the {day.piece}: " if day.piece else ""
    coats = many(t.coats, "coat")
    on = "" if day.piece else f" on {many(t.pieces, 'piece')}"
    first, last = (f"{d:%A} the {_nth(d.day)}" + ("" if _short(day) else f" of {d:%B}") for d in (day.first, day.last))
    return f"{what}{first} to {last}: {coats}{on}{on_it}."


def _nth(number: int) -> str:
    return f"{number}{'th' if 10 < number % 100 < 14 else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


def _spoken_hours(value: float) -> str:
    halves = int(value * 2 + 1e-9)
    if halves < 1:
        return "a quarter of an hour"
    if halves <= 3:
        return ("half an hour", "an hour", "an hour and a half")[halves - 1]
    return f"{halves // 2}{' and a half' if halves % 2 else ''} hours"


def _work_told(day: Day) -> list[str]:
    """Give a sentence for each lot of pieces that had the same done to them."""
    if day.days and day.piece is None:
        return []
    same: dict[str, list[str]] = {}
    wanted: dict[str, dict[str, int]] = {}
    for c in day.coats:
        wanted.setdefault(c.piece, {})[c.product or ""] = c.wanted or 0
    for piece, entries in by_piece(e for e in day.entries if not e.undone).items():
        done = summed_up((e.event for e in entries), wanted.get(piece)) if piece else ""
        if done:
            same.setdefault(done, []).append(piece)
    lines = [f"On {listed('the ' + p for p in pieces)}: {done}." for done, pieces in same.items()]
    products = {c.product for c in day.coats}
    of = f" of {products.pop()}" if len(products) == 1 else None
    seen = False
    for i, line in enumerate(lines):  # one product all day is named once
        if of and of in line:
            lines[i] = line.replace(of, "") if seen else line
            seen = True
    return lines


def _coats_told(day: Day) -> list[str]:
    told = day.coats if day.days else ()  # of one day, each coat's number says it
    lines = [f"the {c.piece}, {so_far(c)}" for c in told[:6]]
    return [f"So far: {'; '.join(lines)}."] if lines else []


def _mixes_told(day: Day) -> list[str]:
    if not day.mixes:
        return []
    sums: dict[str, list[Amount]] = {}
    for mix in day.mixes:
        sums.setdefault(mix.product or "something", []).extend([mix.amount] if mix.amount else [])
    told = []
    for product, amounts in sums.items():
        count = sum((m.product or "something") == product for m in day.mixes)
        units = {a.unit for a in amounts}
        size = f"{amount(_whole(Amount(sum(a.value for a in amounts), units.pop())))} of " if len(units) == 1 else ""
        told.append(f"{size}{product}" + (f" in {count} pots" if count > 1 else ""))
    return [f"Mixed {listed(told)}."]


def _air_told(day: Day) -> list[str]:
    return [capital(f"{air(a)}.") for a in day.air if a.low is not None or a.damp_low is not None]


def _faults_told(day: Day) -> list[str]:
    on_pieces = [(_A_FAULT.get(f.fault, f"a {f.fault}"), f.piece) for f in day.faults if f.piece]
    named = list(dict.fromkeys(f"{fault} on the {piece}" for fault, piece in on_pieces))
    more = [f"{len(named) - 3} more"] if len(named) > 4 else []
    shown = named[:3] if more else named
    return [f"There was {listed([*shown, *more])}."] if named else []


def _waits_told(day: Day) -> list[str]:
    """Give what waits stage by stage: "Ready for the next coat: the hatch trim at 18:12, ..."."""
    by_stage: dict[str, list[str]] = {}
    for found in day.waiting:
        name = f"the {found.piece}"
        if found.earliest is not None:
            by_stage.setdefault(STAGES.get(found.stage, found.stage), []).append(
                f"{name} at {clock_word(found.earliest, day.at)}"
            )
        else:
            by_stage.setdefault("not known when", []).append(name)
    out = []
    for stage, waits in by_stage.items():
        more = [f"{len(waits) - 5} more"] if len(waits) > 5 else []
        out.append(f"{capital(stage)}: {listed([*waits[:5], *more])}.")
    return out


def _moves_told(day: Day) -> list[str]:
    if not day.moves:
        return []
    first = "First tomorrow" if day.first == day.last else "Next"
    then = ""
    if len(day.moves) > 1:
        second = day.moves[1]
        then = f"; then the {second.piece}" if second.piece and day.moves[0].piece else f"; then {second.text}"
    return [f"{first}: {day.moves[0].text}{then}."]


def _unread_told(day: Day) -> list[str]:
    if not day.unread:
        return []
    shown = [f"“{_cut(u.text)}”" for u in day.unread[:3]]
    more = [f"{len(day.unread) - 3} more"] if len(day.unread) > 3 else []
    return [f"Still unread: {listed([*shown, *more])}."]


def _cut(heard: str) -> str:
    """Give the first words of what was heard: enough to know it by."""
    words = heard.split()
    return heard if len(words) <= 12 else f"{' '.join(words[:10])} ..."


# -- JSON ------------------------------------------------------------------------------------------------


def answer(day: Day) -> dict[str, Any]:
    """Give the public ``diary`` answer, amounts and times still typed (``reply.plain`` makes it JSON).

    ``entries`` are the events that stand, in their own JSON, with ``text`` and ``corrected``; what was
    undone is under ``taken_back``; ``unread`` is what is still to be settled or struck.
    """
    t = day.totals
    return {
        "about": "diary",
        "day": day.first.isoformat() if day.first == day.last else f"{day.first}/{day.last}",
        "piece": day.piece,
        "entries": [_entry(e.event, e.corrected) for e in day.entries if not e.undone],
        "totals": {
            "hands_on": t.hands_on, "hands_on_how": t.how, "coats": t.coats, "mixes": t.mixes, "acts": t.acts,
            "faults": t.faults, "pieces": t.pieces,
            "products": [{"product": name, "amount": a} for name, a in t.used],
            "thinner": [{"product": name, "amount": a} for name, a in t.thinner],
            "not_counted": list(t.uncounted),
        },
        "taken_back": [_entry(e.event, e.corrected) for e in day.entries if e.undone],
        "unread": [_entry(u, False) for u in day.unread],
        "coats": [c._asdict() for c in day.coats],
        "air": [a._asdict() for a in day.air],
        "waiting": [
            {key: getattr(w, key) for key in ("piece", "stage", "earliest", "latest", "unknown")}
            for w in day.waiting
        ],
        "moves": [{"text": m.text, "piece": m.piece, "from": m.at, "why": m.why} for m in day.moves],
    }  # fmt: skip


def as_json(day: Day) -> dict[str, Any]:
    """Give the same, plain: what ``--format json`` prints."""
    found: dict[str, Any] = plain(answer(day))
    return found


def _entry(event: Event, corrected: bool) -> dict[str, Any]:
    text = event.text if isinstance(event, Unread) else act(event)  # as heard: it may be settled from here
    return {**to_json(event), "text": text, "corrected": corrected}
