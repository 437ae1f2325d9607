"""Every property, of every kind of subject, at every kind of time, under every condition: asked, and done by hand.

By hand means: over the journal's events and by the craft's own functions, one piece at a time, with no line of the
evaluator. ``python -m ask.matrix`` (in ``tests``) prints how many cells there are and which of them are wrong.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from itertools import product as crossed

from ask.build import NOW, asking, later, t
from assistant.ask.answer import Answer
from assistant.ask.evaluate import evaluate
from assistant.craft import clash, readiness
from assistant.craft.air import humidity_now, temperatures
from assistant.journal.events import Bond, Climate, Coat, Event, Fill, Sand
from assistant.journal.state import Named, State, state_of
from assistant.language.meanings import Act, Quantifier
from assistant.language.query import (
    At,
    Between,
    By,
    Has,
    Having,
    Property,
    Query,
    Shape,
    Stage,
    Subject,
    Suppose,
    Time,
    Unknown,
)
from assistant.quantity import celsius, grams, ml, percent

P, S = Property, Shape
MINUTE = timedelta(minutes=1)
TIMES: tuple[Time | None, ...] = (
    None, At(later(minutes=150)), At(later(hours=19)), At(later(hours=-3)), By(later(hours=2)), By(later(hours=18)),
    Between(later(hours=10), later(hours=22)), Between(later(hours=1), later(hours=1.5)),
)  # fmt: skip
SUPPOSED: tuple[Suppose | None, ...] = (
    None, Suppose(temperature=celsius(22.0)), Suppose(temperature=celsius(6.0)), Suppose(humidity=percent(95.0)),
    Suppose(product="white undercoat"), Suppose(skipped=Act.SAND), Suppose(moved="engine room"),
)  # fmt: skip
PIECES = (
    "hatch trim", "companionway trim", "cratch board", "bulkhead", "port cabin door", "galley shelf", "step treads",
    "starboard cabin door",
)  # fmt: skip


@dataclass(frozen=True)
class World:
    """The job with a condition put in by hand; ``dries`` is where a piece that is moved has its air."""

    state: State
    dries: State
    pieces: tuple[str, ...]

    def film(self, piece: str, stage: Stage, at: datetime) -> readiness.Readiness:
        """What the craft says of one piece."""
        state = self.dries if piece in self.pieces else self.state
        return readiness.readiness(state, asking().cards, piece, stage, at)

    def may(self, piece: str, stage: Stage, at: datetime) -> bool | None:
        """Whether one piece may, everything counted, at one moment; None where nobody knows."""
        cards = asking().cards
        found = self.film(piece, stage, at)
        against = False
        if stage is Stage.SAND:
            near = [p for p in self.state.work if p != piece and self.state.space_of(p) == self.state.space_of(piece)]
            against = any(self.wet(p, at) for p in near)
        if stage is Stage.OVERCOAT:
            state = self.dries if piece in self.pieces else self.state
            against = bool(clash.unfit(state, cards, piece, found.product, at, NOW))
        if found.laid is None:
            return False if against else None
        if found.unknown is not None and not found.source:
            return None
        return found.ready and not against

    def wet(self, piece: str, at: datetime) -> bool:
        """Whether dust would stick to a piece."""
        state = self.dries if piece in self.pieces else self.state
        return any(r.piece == piece for r in readiness.wet(state, asking().cards, at))


def events() -> list[Event]:
    """All that the journal holds, read anew."""
    return list(asking().journal.events())


def world(suppose: Suppose | None, pieces: tuple[str, ...]) -> World:
    """Put a condition in by hand: into the events, before they are folded."""
    base = state_of(events())
    if suppose is None:
        return World(base, base, ())
    told, state, dries = events(), base, base
    spaces = {base.space_of(p) for p in pieces}
    where = suppose.moved or (spaces.pop() if len(spaces) == 1 else None)
    if suppose.temperature is not None or suppose.humidity is not None:
        state = dries = state_of([*_air_till_now(told, where, suppose), *_air_from_now(base, where, suppose)])
    if suppose.product is not None:
        films = [e for e in told if isinstance(e, Coat | Fill | Bond) and _is_film(e, pieces, told)]
        new = [*(e for e in told if e not in films), *(replace(e, product=suppose.product) for e in films)]
        state = dries = state_of(new)
    if suppose.skipped is Act.SAND:
        kept = [e for e in told if not (isinstance(e, Sand) and e.piece in pieces and e.at > _since(e.piece, told))]
        state = dries = state_of(kept)
    if suppose.moved is not None:
        state, dries = _moved(base, pieces, suppose.moved)
    return World(state, dries, pieces if suppose.moved else ())


def _is_film(event: Event, pieces: tuple[str, ...], told: list[Event]) -> bool:
    laid = event.kind in ("coat", "fill", "bond") and getattr(event, "piece", None) in pieces
    return laid and event.at == _since(str(getattr(event, "piece", "")), told)


def _since(piece: str, told: list[Event]) -> datetime:
    films = [e.at for e in told if e.kind in ("coat", "fill", "bond") and getattr(e, "piece", None) == piece]
    return max(films, default=datetime.max.replace(tzinfo=UTC))


def _air_till_now(told: list[Event], where: str | None, suppose: Suppose) -> list[Event]:
    """The events without what is expected of that place, where the temperature is another from now on."""
    if suppose.temperature is None:
        return told
    return [e for e in told if not (isinstance(e, Climate) and e.at > NOW and where in (None, e.space))]


def _air_from_now(base: State, where: str | None, suppose: Suppose) -> list[Event]:
    places = [where] if where is not None or suppose.temperature is None else [*base.spaces]
    return [
        Climate(
            space=place, temperature=suppose.temperature, humidity=suppose.humidity, at=NOW, said_at=NOW,
            until=None if suppose.humidity is None else NOW + timedelta(days=5), id=9000 + k,
        )
        for k, place in enumerate(places)
    ]  # fmt: skip


def _moved(base: State, pieces: tuple[str, ...], to: str) -> tuple[State, State]:
    """The job with the pieces in another space, and one in which that space had each piece's own air till now."""
    state, dries = base.copy(), base.copy()
    air = [c for c in base.climate if c.space not in (to, None)]
    for piece in pieces:
        old = base.space_of(piece)
        state.pieces[piece] = Named(piece, {**base.pieces[piece].values, "space": to})
        new = f"{piece}'s own"
        dries.pieces[piece] = Named(piece, {**base.pieces[piece].values, "space": new})
        start = t("2026-03-10 00:00")
        before = [s for s in temperatures(base, old, start, NOW) if s.start < NOW]
        after = temperatures(base, to, NOW, NOW)
        air += [Climate(space=new, temperature=celsius(s.celsius), at=s.start, said_at=NOW) for s in (*before, *after)]
        damp = [c for c in base.climate if c.space == to and c.humidity is not None]
        air += [replace(c, space=new, temperature=None) for c in damp]
    dries.climate = tuple(sorted((*air, *(c for c in base.climate if c.space == to)), key=lambda c: c.at))
    return state, dries


# -- the subjects, named and as sets, and by hand what they are ------------------------------------------------


def subjects() -> Iterator[tuple[Subject, tuple[str, ...]]]:
    """Subjects with the pieces they are, worked out by hand at now."""
    for piece in PIECES:
        yield Subject(pieces=(piece,)), (piece,)
    yield Subject(pieces=("hatch trim", "bulkhead")), ("hatch trim", "bulkhead")


def sets(at: datetime, where: World) -> Iterator[tuple[Subject, list[str]]]:
    """Sets of pieces with what is in them at a moment: by space, product, kind, filter and exception."""
    filmed = [p for p in where.state.work if where.film(p, Stage.CURED, at).laid is not None]
    in_space = [p for p in filmed if where.state.space_of(p) == "fore cabin"]
    yield Subject(spaces=("fore cabin",)), in_space
    yield Subject(), filmed
    yield Subject(besides=("hatch trim",)), [p for p in filmed if p != "hatch trim"]
    of = [p for p in filmed if where.film(p, Stage.CURED, at).product == "amber varnish"]
    yield Subject(products=("amber varnish",)), of
    wet = [p for p in filmed if where.wet(p, at)]
    yield Subject(having=(Having(Has.WET), Having(Has.FILM))), wet
    dry = [p for p in filmed if not where.wet(p, at)]
    yield Subject(having=(Having(Has.WET, negated=True), Having(Has.FILM))), dry
    sanded = [p for p in filmed if _sanded(p, at)]
    yield Subject(having=(Having(Has.SANDED, negated=True), Having(Has.FILM))), [p for p in filmed if p not in sanded]


def _sanded(piece: str, at: datetime) -> bool:
    mine = [e for e in events() if getattr(e, "piece", None) == piece and e.at <= at]
    films = [e.at for e in mine if e.kind in ("coat", "fill", "bond")]
    return bool(films) and any(e.kind == "sand" and e.at >= max(films) for e in mine)


# -- the cells --------------------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Cell:
    """One question and, if it came out wrong, what is wrong with the answer."""

    query: Query
    wrong: str | None


def grid(start: datetime, end: datetime) -> Iterator[datetime]:
    """Every quarter of an hour of a stretch, and its end."""
    at = start
    while at < end:
        yield at
        at += timedelta(minutes=15)
    yield end


def span(time: Time | None) -> tuple[datetime, datetime]:
    """From when till when a time asks."""
    match time:
        case At(moment):
            return moment, moment
        case By(moment):
            return min(NOW, moment), moment
        case Between(start, end):
            return start, end
    return NOW, NOW


def judged(answer: Answer, where: World, piece: str, stage: Stage) -> str | None:
    """Hold a yes or no on one piece against every moment it was asked of."""
    start, end = span(answer.query.time)
    known = [where.may(piece, stage, at) for at in grid(start, end)]
    moment = answer.rows[0].moment if answer.rows else None
    if answer.decision is None:
        return None if None in known and True not in known else f"not known, but by hand {set(known)}"
    if answer.decision is False:
        return "no, but by hand there is a moment" if True in known else None
    if end == start:
        return None if known == [True] else f"yes, but by hand {known}"
    if moment is None or not start - MINUTE * 9000 <= moment <= end:
        return f"yes without a moment in the time asked: {moment}"
    asked = max(moment, start)
    if where.may(piece, stage, asked) is not True:
        return f"yes from {asked}, but by hand not"
    early = [at for at in grid(start, end) if at < asked and where.may(piece, stage, at)]
    return f"by hand already at {early[0]}" if early else None


def ready_cells() -> Iterator[Cell]:
    """READY, WHETHER, of single pieces: every stage, time and condition."""
    for suppose in SUPPOSED:
        for subject, pieces in subjects():
            if len(pieces) > 1:
                continue
            where = world(suppose, pieces)
            for stage, time in crossed(Stage, TIMES):
                query = Query(P.READY, S.WHETHER, subject, time, stage, suppose=suppose)
                yield Cell(query, judged(evaluate(query, asking()), where, pieces[0], stage))


def when_cells() -> Iterator[Cell]:
    """READY, WHEN and HOW_LONG: the first moment, and none before it."""
    for suppose in SUPPOSED[:3]:
        for piece, stage, shape in crossed(PIECES, Stage, (S.WHEN, S.HOW_LONG)):
            where = world(suppose, (piece,))
            query = Query(P.READY, shape, Subject(pieces=(piece,)), stage=stage, suppose=suppose)
            answer = evaluate(query, asking())
            yield Cell(query, _first(answer, where, piece, stage))


def _first(answer: Answer, where: World, piece: str, stage: Stage) -> str | None:
    moment = answer.rows[0].moment
    if moment is None:
        ahead = [where.may(piece, stage, NOW + timedelta(hours=2 * k)) for k in range(120)]
        return "no moment, but by hand there is one" if True in ahead else None
    at = max(moment, NOW)
    if where.may(piece, stage, at) is not True:
        return f"by hand not at {at}"
    if at > NOW and where.may(piece, stage, at - MINUTE):
        return f"by hand a minute before {at}"
    early = [m for m in grid(NOW, min(at, later(hours=48))) if m < at and where.may(piece, stage, m)]
    return f"by hand at {early[0]}" if early else None


def set_cells() -> Iterator[Cell]:
    """READY over sets: which, how many, all, any, none, and what is not so; first and last."""
    for time, stage in crossed((None, At(later(hours=4)), At(later(hours=20))), Stage):
        at = time.moment if time is not None else NOW
        where = world(None, ())
        for subject, every in sets(at, where):
            young = stage in (Stage.TOUCH, Stage.DUST, Stage.HANDLE) and not any(h for h in subject.having)
            pieces = [p for p in every if not (young and where.may(p, Stage.CURED, at))]
            may = {p: where.may(p, stage, at) for p in pieces}
            for negated in (False, True):
                base = Query(P.READY, S.WHICH, subject, time, stage, negated=negated)
                answer = evaluate(base, asking())
                got = {r.piece: r.decision for r in answer.rows}
                yield Cell(base, None if got == may else f"{got}, by hand {may}")
                count = replace(base, shape=S.HOW_MANY)
                number = sum(v is (not negated) for v in may.values())
                facts = evaluate(count, asking()).to_json()
                told = facts["count"] if facts and "count" in facts else 0
                yield Cell(count, None if told == number else f"{told}, by hand {number}")
            for quantifier in (Quantifier.ALL, Quantifier.ANY, Quantifier.NONE):
                query = Query(P.READY, S.WHETHER, replace(subject, quantifier=quantifier), time, stage)
                got_ = evaluate(query, asking()).decision
                want = _quantified(may, quantifier)
                yield Cell(query, None if not may or got_ is want else f"{got_}, by hand {want}")


def _quantified(may: dict[str, bool | None], quantifier: Quantifier) -> bool | None:
    known = set(may.values())
    if quantifier is Quantifier.ALL:
        return False if False in known else None if None in known else True
    some = True if True in known else None if None in known else False
    return some if quantifier is Quantifier.ANY or some is None else not some


def ordered_cells() -> Iterator[Cell]:
    """READY and WINDOW: first, last and compared, by the craft's own moments."""
    where = world(None, ())
    for one, two in [(a, b) for a in PIECES for b in PIECES if a < b]:
        for stage in (Stage.TOUCH, Stage.HANDLE, Stage.CURED):  # nothing but the film itself decides these
            ends = {p: where.film(p, stage, NOW).earliest for p in (one, two)}
            for shape in (S.FIRST, S.LAST, S.COMPARE):
                query = Query(P.READY, shape, Subject(pieces=(one, two)), stage=stage)
                yield Cell(query, _in_order(evaluate(query, asking()), ends, last=shape is S.LAST))
        shuts = {p: where.film(p, Stage.OVERCOAT, NOW).latest for p in (one, two)}
        query = Query(P.WINDOW, S.FIRST, Subject(pieces=(one, two)))
        answer = evaluate(query, asking())
        yield Cell(query, _in_order(answer, {r.piece or "": shuts[r.piece or ""] for r in answer.rows}, last=False))


def _in_order(answer: Answer, ends: dict[str, datetime | None], *, last: bool) -> str | None:
    known = [p for p, end in ends.items() if end is not None]
    want = sorted(known, key=lambda p: ends[p] or NOW, reverse=last)
    got = [r.piece for r in answer.rows if ends.get(r.piece or "") is not None]
    return None if got == want or len({ends[p] for p in known}) < len(known) else f"{got}, by hand {want}"


def place_cells() -> Iterator[Cell]:
    """DUST, HUMIDITY and COLD of every space at every moment."""
    where = world(None, ())
    for space, time in crossed(("fore cabin", "galley", "engine room", None), TIMES):
        start, end = span(time)
        subject = Subject(spaces=(space,)) if space else Subject()
        near = [p for p in where.state.work if space is None or where.state.space_of(p) == space]
        free = [not any(where.wet(p, at) for p in near) for at in grid(start, end)]
        query = Query(P.DUST, S.WHETHER, subject, time)
        answer = evaluate(query, asking())
        wrong = None if answer.decision is any(free) else f"{answer.decision}, by hand {any(free)}"
        if wrong and answer.decision and (m := answer.rows[0].moment):  # between two of the quarters
            wrong = wrong if any(where.wet(p, m) for p in near) else None
        yield Cell(query, wrong)
        if space is None or isinstance(time, By | Between):
            continue
        damp = humidity_now(where.state, space, start)
        query = Query(P.HUMIDITY, S.HOW_MUCH, subject, time)
        value = evaluate(query, asking()).rows[0].value
        yield Cell(query, None if (value.value if value else None) == damp else f"{value}, by hand {damp}")
        query = Query(P.COLD, S.HOW_MUCH, subject, time)
        warm = temperatures(where.state, space, start, NOW)[0]
        value = evaluate(query, asking()).rows[0].value
        told = value.value if value else 10.0
        yield Cell(query, None if told == warm.celsius else f"{told}, by hand {warm.celsius}")


def window_cells() -> Iterator[Cell]:
    """WINDOW of every piece at every moment, and when it shuts."""
    for suppose in (None, Suppose(temperature=celsius(22.0)), Suppose(skipped=Act.SAND)):
        for piece, time in crossed(PIECES, TIMES):
            where = world(suppose, (piece,))
            end = span(time)[1] if isinstance(time, By) else span(time)[0]
            found = where.film(piece, Stage.OVERCOAT, end)
            shut = found.latest is not None and found.latest <= end and not found.ready
            want = None if found.laid is None or (found.unknown and found.latest is None) else not shut
            query = Query(P.WINDOW, S.WHETHER, Subject(pieces=(piece,)), time, suppose=suppose)
            answer = evaluate(query, asking())
            moment = answer.rows[0].moment
            wrong = None if answer.decision is want else f"{answer.decision}, by hand {want}"
            yield Cell(query, wrong or (None if moment == found.latest else f"{moment}, by hand {found.latest}"))


def entry_cells() -> Iterator[Cell]:
    """ENTRY: every act on every piece, first, last, how many, whether, in three stretches of time."""
    spans: tuple[Time | None, ...] = (
        None, Between(t("2026-03-17 00:00"), t("2026-03-17 23:59")), By(t("2026-03-17 12:00")),
    )  # fmt: skip
    acts = (Act.COAT, Act.SAND, Act.CLEAN, Act.FILL, Act.BOND)
    for piece, act, time in crossed(PIECES, acts, spans):
        start, end = (t("2000-01-01 00:00"), NOW) if time is None else span(time)
        start = t("2000-01-01 00:00") if isinstance(time, By) else start
        mine = [e for e in events() if e.kind == act.value and getattr(e, "piece", None) == piece]
        mine = sorted((e for e in mine if start <= e.at <= end), key=lambda e: e.at)
        for shape in (S.WHETHER, S.FIRST, S.LAST, S.HOW_MANY):
            query = Query(P.ENTRY, shape, Subject(pieces=(piece,)), time, act=act)
            answer = evaluate(query, asking())
            row = answer.rows[0]
            want = None if not mine else mine[0].at if shape is S.FIRST else mine[-1].at
            right = row.count == len(mine) and row.moment == want and row.decision is bool(mine)
            yield Cell(query, None if right else f"{row.count} at {row.moment}, by hand {len(mine)} at {want}")


def coat_cells() -> Iterator[Cell]:
    """COATS of every piece at every moment, counted from the events."""
    moments = (None, At(t("2026-03-17 11:00")), At(t("2026-03-18 09:00")), At(t("2026-03-15 09:00")))
    for piece, time in crossed(PIECES, moments):
        at = time.moment if time is not None else NOW
        mine = [e for e in events() if isinstance(e, Coat) and e.piece == piece and e.at <= at]
        want = len(mine)  # none was told out of turn here, so that coats and events are as many
        query = Query(P.COATS, S.HOW_MANY, Subject(pieces=(piece,)), time)
        got = evaluate(query, asking()).rows[0].count
        yield Cell(query, None if got == want else f"{got}, by hand {want}")


def negated_cells() -> Iterator[Cell]:
    """A question turned round is answered the other way round."""
    for piece, stage, time in crossed(PIECES, Stage, TIMES):
        query = Query(P.READY, S.WHETHER, Subject(pieces=(piece,)), time, stage)
        plain, turned = evaluate(query, asking()), evaluate(replace(query, negated=True), asking())
        want = None if plain.decision is None else not plain.decision
        first = turned.reply.split(": ", 1)[-1] if time is not None else turned.reply
        word = {True: "yes", False: "no"}.get(turned.decision) if turned.decision is not None else None
        said = word is None or first.lower().startswith(word)
        yield Cell(query, None if turned.decision is want and said else f"{turned.decision}: {turned.reply}")


def tape_cells() -> Iterator[Cell]:
    """TAPE on: once it can be handled; off: till it is touch dry without a word of care, by the craft's stages."""
    where = world(None, ())
    for piece, time in crossed(PIECES, (None, At(later(hours=5)), At(later(hours=30)))):
        at = time.moment if time is not None else NOW
        found = where.film(piece, Stage.HANDLE, at)
        query = Query(P.TAPE, S.WHETHER, Subject(pieces=(piece,)), time, act=Act.MASK)
        got = evaluate(query, asking()).decision
        want = None if found.laid is None or (found.unknown and not found.source) else found.ready
        yield Cell(query, None if got is want else f"{got}, by hand {want}")
        touch = where.film(piece, Stage.TOUCH, at)
        query = replace(query, act=Act.UNMASK)
        until = evaluate(query, asking()).rows[0].until
        tacky = touch.earliest if touch.earliest is not None and touch.earliest > at else None
        yield Cell(query, None if until == tacky else f"{until}, by hand {tacky}")


def mix_cells() -> Iterator[Cell]:
    """MIX of the epoxy, two to one by volume at 1.15 and 1.00 g/ml: by the rule of three, in every reading."""
    subject = Subject(products=("tread epoxy",))
    for value, ratio, weighed in crossed((30.0, 90.0, 300.0), ((2.0, 1.0), (5.0, 1.0), (3.0, 1.0)), (None, True)):
        for part in (None, "resin", "hardener"):
            suppose = Suppose(ratio=ratio) if ratio != (2.0, 1.0) else None
            query = Query(P.MIX, S.HOW_MUCH, subject, amount=ml(value), part=part, suppose=suppose, by_weight=weighed)
            whole = {None: sum(ratio), "resin": ratio[0], "hardener": ratio[1]}[part]
            heavy = (1.15, 1.00) if weighed else (1.0, 1.0)
            want = [round(value * r / whole * d, 1) for r, d in zip(ratio, heavy, strict=True)]
            told = evaluate(query, asking()).to_json() or {}
            got = [p["amount"]["value"] for p in told["parts"]]
            right = max(abs(a - b) for a, b in zip(got, want, strict=True)) < 0.06
            yield Cell(query, None if right else f"{got}, by hand {want}")


def pot_cells() -> Iterator[Cell]:
    """POT of the epoxy: thirty minutes for 100 g at 20 degrees, half for each ten warmer, less in proportion."""
    for degrees, mass in crossed((10.0, 15.0, 20.0, 25.0, 30.0), (50.0, 100.0, 150.0, 400.0)):
        query = Query(
            P.POT, S.HOW_LONG, Subject(products=("tread epoxy",)), amount=grams(mass),
            suppose=Suppose(temperature=celsius(degrees)),
        )  # fmt: skip
        want = 30.0 * 2.0 ** ((20.0 - degrees) / 10.0) * min(1.0, 100.0 / mass)
        told = evaluate(query, asking()).to_json() or {}
        yield Cell(query, None if 0 <= want - told["minutes"] < 1 else f"{told['minutes']}, by hand {want}")


def thin_cells() -> Iterator[Cell]:
    """THIN: so many percent of so much."""
    for value, by in crossed((100.0, 250.0, 750.0), (None, 5.0, 10.0, 15.0)):
        query = Query(
            P.THIN, S.HOW_MUCH, Subject(products=("amber varnish",)), amount=ml(value),
            percent=None if by is None else percent(by),
        )  # fmt: skip
        told = evaluate(query, asking()).to_json() or {}
        want = value * (10.0 if by is None else by) / 100.0
        got = told["thinner"]["value"]
        yield Cell(query, None if abs(got - want) < 0.06 else f"{got}, by hand {want}")


def needed_cells() -> Iterator[Cell]:
    """NEEDED: the least warmth that will do and half a degree less that will not; the latest start, and a minute on."""
    for piece, stage, hours in crossed(PIECES[:5], (Stage.TOUCH, Stage.HANDLE, Stage.CURED), (4, 14, 60)):
        end = later(hours=hours)
        query = Query(P.READY, S.NEEDED, Subject(pieces=(piece,)), By(end), stage, unknown=Unknown.TEMPERATURE)
        told = evaluate(query, asking()).to_json() or {}
        found = told["temperature"]
        if found is None:
            hot = world(Suppose(temperature=celsius(35.0)), (piece,)).may(piece, stage, end)
            yield Cell(query, "nothing, but by hand 35 degrees" if hot else None)
            continue
        value = float(found["value"])
        warm = world(Suppose(temperature=celsius(value)), (piece,)).may(piece, stage, end)
        cool = value > 0 and world(Suppose(temperature=celsius(value - 0.5)), (piece,)).may(piece, stage, end)
        yield Cell(query, None if warm and not cool else f"{value}: {warm}, half a degree less: {cool}")
    for piece, hours in crossed(PIECES[:2], (12, 24)):
        end = later(hours=hours)
        query = Query(P.READY, S.NEEDED, Subject(pieces=(piece,)), By(end), Stage.HANDLE, unknown=Unknown.START)
        start = (evaluate(query, asking()).to_json() or {})["start"]
        if start is None:
            yield Cell(query, "nothing" if _laid(piece, NOW, end) else None)
            continue
        at = datetime.fromisoformat(start)
        right = _laid(piece, at, end) and not _laid(piece, at + MINUTE, end)
        yield Cell(query, None if right else f"{start} is not the last minute")


def _laid(piece: str, at: datetime, end: datetime) -> bool:
    """Whether a coat of varnish laid at a time can be handled by another."""
    coat = Coat(piece=piece, coat=9, product="amber varnish", at=at, said_at=NOW, id=9999)
    state = state_of([*events(), coat])
    return readiness.readiness(state, asking().cards, piece, "handle", end).ready


def part_cells() -> Iterator[Cell]:
    """READY of a part of a piece: as the craft says it of that part."""
    where = world(None, ())
    for stage, part in crossed(Stage, ("underside", "top")):
        query = Query(P.READY, S.WHETHER, Subject(pieces=("hatch trim",), part=part), stage=stage)
        row = evaluate(query, asking()).rows[0]
        found = readiness.readiness(where.state, asking().cards, "hatch trim", stage, NOW, part)
        got = getattr(row.facts, "earliest", None)
        yield Cell(query, None if got == found.earliest else f"{got}, by hand {found.earliest}")


ALL = (
    ready_cells, when_cells, set_cells, ordered_cells, place_cells, window_cells, entry_cells, coat_cells,
    negated_cells, tape_cells, mix_cells, pot_cells, thin_cells, needed_cells, part_cells,
)  # fmt: skip

if __name__ == "__main__":
    for cells in ALL:
        done = list(cells())
        bad = [c for c in done if c.wrong]
        print(f"{cells.__name__}: {len(done)} cells, {len(bad)} wrong")
        for cell in bad[:8]:
            q = cell.query
            print("  ", q.shape, q.subject.pieces or q.subject, q.stage, q.time, q.suppose, "->", cell.wrong)
