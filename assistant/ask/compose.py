"""The reply: the decision first, then what was asked again - piece, stage, time, condition - and the figures early."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from assistant.ask.answer import Bar, Row, Veto
from assistant.ask.words import begun, opening, some
from assistant.craft.times import utc
from assistant.language.query import Has, Query, Shape
from assistant.wording import amount, capital, lasting, listed, when

#: So many clauses are said; the rows have them all.
_MOST: Final = 8


def compose(query: Query, now: datetime, rows: Sequence[Row], chosen: Row, decision: bool | None) -> str:
    """Give the reply to a question that has rows."""
    lead = opening(query, now)
    match query.shape:
        case Shape.WHETHER:
            one = _whether(query, now, chosen, lead) if len(rows) == 1 else None
            return one or _whether_all(query, now, rows, decision, lead)
        case Shape.WHICH:
            return begun(lead, _which(query, now, rows))
        case Shape.HOW_MANY:
            return begun(lead, _how_many(query, rows))
        case Shape.FIRST | Shape.LAST | Shape.COMPARE:
            return begun(lead, _ordered(query, now, rows))
        case Shape.WHEN | Shape.HOW_LONG:
            return begun(lead, _several([_when(query, now, row) for row in rows]))
    return begun(lead, _several([_plain(row) for row in rows]))


def _several(clauses: Sequence[str]) -> str:
    """Give so many clauses as can be listened to, and how many more there are."""
    more = len(clauses) - _MOST
    return "; ".join(clauses[:_MOST]) + (f"; and {more} more" if more > 0 else "")


def not_known(row: Row) -> str:
    """Say of one subject that it cannot be said."""
    return row.said or f"I can't say for {row.name}: {row.unknown or 'nothing tells'}"


def reasons(row: Row) -> str:
    """Give what speaks against it beside the film's own time, which is said as a time."""
    said = [v.said for v in deciding(row)]
    return "; ".join(dict.fromkeys(said))


def deciding(row: Row) -> list[Veto]:
    """Give the vetoes that are worth saying: of one that ends, those that last till the end of it."""
    if row.moment is None or row.then:
        return list(row.vetoes)
    moment = row.moment
    others = [v for v in row.vetoes if v.bar is not Bar.FILM]
    return [v for v in others if v.until is None or utc(v.until) >= utc(moment)]


def refusal(row: Row, now: datetime, *, span: bool = False) -> str:
    """Give a no in a clause: ``the hatch trim cannot be sanded before 16:22, in 2 hours: ...``."""
    text = f"{row.name} {row.cannot}"
    if row.moment is not None and utc(row.moment) > utc(now) and not row.then:
        text += f" before {when(row.moment, now)}"
        if span:
            text += f", in {lasting(utc(row.moment) - utc(now))}"
    why = reasons(row)
    return f"{text}: {why}" if why else text


def consent(row: Row, now: datetime) -> str:
    """Give a yes in a clause: ``the hatch trim can be sanded, from 16:22``."""
    text = f"{row.name} {row.can}"
    moment = None if row.then else row.moment
    begins = moment if row.since is None else row.since
    if moment is not None and row.since is not None:
        begins = max(moment, row.since, key=utc) if utc(moment) > utc(now) else row.since
    if begins is not None and when(begins, now) != "now":
        text += f", {'since' if utc(begins) < utc(now) else 'from'} {when(begins, now)}"
    if row.until is not None:
        text += f", until {when(row.until, now)}"
    return text


def _word(query: Query, yes: bool) -> str:
    return "yes" if yes is not query.negated else "no"


def _whether(query: Query, now: datetime, row: Row, lead: str) -> str | None:
    if row.decision is None:
        return begun(lead, not_known(row))
    join = ", " if lead else ": "
    if row.said:
        return begun(lead, f"{_word(query, row.decision)}{join}{row.said}")
    how = f", {row.how}" if row.how and row.decision else ""
    text = consent(row, now) if row.decision else refusal(row, now, span=query.time is None)
    return begun(lead, f"{_word(query, row.decision)}{how}{': ' if how else join}{text}")


def _whether_all(query: Query, now: datetime, rows: Sequence[Row], decision: bool | None, lead: str) -> str:
    yes = [r for r in rows if r.decision]
    no = [r for r in rows if r.decision is False]
    parts = []
    if no:
        parts.append(_late(no, now))
    if yes:
        parts.append(f"{some(r.name for r in yes)} {plural(yes[0].can, len(yes))}")
    parts += [not_known(r) for r in rows if r.decision is None]
    if decision if not query.negated else not decision:
        parts.sort(key=lambda p: not (yes and p.endswith(plural(yes[0].can, len(yes)))))
    how = next((f", {r.how}" for r in yes if r.how), "") if decision else ""
    if decision is None:
        return begun(lead, "; ".join(parts))
    join = ", " if (lead and not how) or parts[0].startswith("not yet") else ": "
    return begun(lead, f"{'yes' if decision else 'no'}{how}{join}{'; '.join(parts)}")


def _late(rows: Sequence[Row], now: datetime) -> str:
    """Give those that may not, with their times; what is said of several alike is said once."""
    later = [r for r in rows if r.moment is not None and utc(r.moment) > utc(now) and not r.then]
    never = [r for r in rows if r not in later]
    parts = []
    if later:
        parts.append(f"not yet: {some(f'{r.name} from {when(r.moment or now, now)}' for r in later)}")
    if never:
        parts.append(f"{some(r.name for r in never)} {plural(never[0].cannot, len(never))}")
    why = dict.fromkeys(v.said for r in rows[:6] for v in deciding(r) if v.bar is not Bar.FILM or len(r.vetoes) == 1)
    return "; ".join(parts) + (f" ({'; '.join(why)})" if why else "")


def plural(verb: str, number: int) -> str:
    """Give a verb for so many: ``is dust-free``, ``are dust-free``."""
    if number == 1:
        return verb
    for one, more in (("is ", "are "), ("has ", "have "), ("was ", "were ")):
        if verb.startswith(one):
            return more + verb.removeprefix(one)
    return verb


def _which(query: Query, now: datetime, rows: Sequence[Row]) -> str:
    if not rows[0].can:
        return _several([_plain(r) for r in rows])
    yes = [r for r in rows if r.decision]
    no = [r for r in rows if r.decision is False]
    unknown = [r for r in rows if r.decision is None]
    parts = []
    if query.negated:
        rest = f"none: {some(r.name for r in yes)} {plural(yes[0].can, len(yes))}" if yes else "none"
        parts.append(_late(no, now) if no else rest)
    else:
        how = f", {yes[0].how}" if yes and yes[0].how else ""
        if yes:
            parts.append(f"{some(_open(r, now) for r in yes)} {plural(yes[0].can, len(yes))}{how}")
        else:
            parts.append(f"none {rows[0].can}" + (" now" if query.time is None else ""))
        if barred := [r for r in no if r.moment is not None or r.vetoes]:
            parts.append(_late(barred, now))
    if unknown:
        parts.append("; ".join(not_known(r) for r in unknown[:3]))
    return ". ".join([parts[0], *(capital(p) for p in parts[1:])])


def _open(row: Row, now: datetime) -> str:
    return row.name + (f" (until {when(row.until, now)})" if row.until is not None else "")


def _how_many(query: Query, rows: Sequence[Row]) -> str:
    if any(r.count is not None for r in rows) or not rows[0].can:
        return _several([_plain(r) for r in rows])
    those = [r for r in rows if r.decision is (not query.negated)]
    unknown = sum(r.decision is None for r in rows)
    verb = rows[0].cannot if query.negated else rows[0].can
    text = f"{len(those) or 'none'} {plural(verb, len(those) or 1)}"
    if those:
        text += f": {some(r.name for r in those)}"
    return text + (f"; of {unknown} I can't say" if unknown else "")


def _ordered(query: Query, now: datetime, rows: Sequence[Row]) -> str:
    if len(rows) == 1 and rows[0].said and not rows[0].then:
        return rows[0].said
    known = [r for r in rows if measured(r) is not None]
    rest = [r for r in rows if measured(r) is None]
    parts = []
    if known:
        first = known[0]
        word = "last" if query.shape is Shape.LAST else "first"
        parts.append(f"{first.name} {word}: {placed(first, now)}")
        parts += [f"then {r.name}, {placed(r, now, short=True)}" for r in known[1:4]]
    parts += [not_known(r) if r.decision is None or r.moment is None else r.name for r in rest[:3]]
    return "; ".join(parts)


def measured(row: Row) -> datetime | float | None:
    """Give what rows are ordered by: a moment, an amount or a count."""
    if row.moment is not None:
        return row.moment
    if row.value is not None:
        return row.value.value
    return None if row.count is None else float(row.count)


def placed(row: Row, now: datetime, *, short: bool = False) -> str:
    """Say what a row is ordered by."""
    if row.moment is not None:
        at = when(row.moment, now)
        if row.then and not short:
            return f"{row.then} {'at ' if at != 'now' else ''}{at}"
        if short or not row.can:
            return at
        can = row.can.removeprefix("is ")
        if utc(row.moment) <= utc(now) and row.decision:
            return f"{can} now" if at == "now" else f"{can}, since {at}"
        return f"{can} from {at}"
    if row.said:
        return row.said
    return amount(row.value) if row.value is not None else str(row.count or 0)


def _when(query: Query, now: datetime, row: Row) -> str:
    if row.said and not row.then:
        return row.said
    if row.moment is None:
        why = reasons(row) or row.unknown
        if not row.can:
            return not_known(row)
        lead = "no time that I know of" if row.decision is False else "I can't say when"
        text = f"{lead}: {row.name} {row.cannot}" if row.decision is False else f"{lead} {row.name} {row.can}"
        return text + (f": {why}" if why else "")
    at = when(row.moment, now)
    if row.decision and utc(row.moment) <= utc(now) and row.can and not row.then:
        since = f", since {at}" if at != "now" else ""
        return f"now{', ' + row.how if row.how else ''}: {row.name} {row.can}{since}"
    text = row.then or row.said or f"{row.name} {row.can}"
    span = lasting(abs(utc(row.moment) - utc(now)))
    if query.shape is Shape.HOW_LONG:
        return f"{span}, {'until' if utc(row.moment) > utc(now) else 'since'} {at}: {text}"
    if query.time is not None or utc(row.moment) <= utc(now):
        return f"{at}: {text}{_because(row)}"
    return f"{at}, in {span}: {text}{_because(row)}"


def _because(row: Row) -> str:
    """Give what, beside the film, puts the moment off."""
    why = listed(dict.fromkeys(v.said for v in deciding(row) if v.bar is not Bar.FILM))
    return f"; {why}" if why else ""


def _plain(row: Row) -> str:
    if row.said or row.decision is None:
        return not_known(row)
    return f"{row.name} {row.can if row.decision else row.cannot}"


def nothing(query: Query, now: datetime, decision: bool | None) -> str:
    """Say that there is nothing to answer of."""
    subject = query.subject
    what = "nothing like that that I know of"
    if any(h.has is Has.WET and not h.negated for h in subject.having):
        what = "nothing is wet that I know of"
    elif not subject.having and not subject.products and not subject.kinds:
        what = "nothing that I know of"
    where = f" in the {listed(subject.spaces)}" if subject.spaces else ""
    word = "" if decision is None else "yes: " if decision else "no: "
    lead = opening(query, now)
    return begun(lead, f"{word.replace(': ', ', ') if lead else word}{what}{where}")
