"""A question is settled: names become the job's own, times moments, a follow-up an edit of the last question.

What two things fit is asked back; dangers go before anything else; what no property holds the trade's cards may know.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Final

from assistant.ask import know
from assistant.ask.aid import Aid, hazard
from assistant.dialogue import settling
from assistant.dialogue.context import Context, Slot
from assistant.dialogue.followup import fragment_of
from assistant.dialogue.lastquery import AGAIN, KEPT, keep, last_query
from assistant.dialogue.scene import Scene
from assistant.dialogue.supposing import suppose_of
from assistant.dialogue.talk import Back, Talk
from assistant.dialogue.whenasked import BEHIND, time_of
from assistant.language.asking.said import Asked, Filter
from assistant.language.meanings import Act, Group, Quantifier
from assistant.language.names import Name
from assistant.language.query import By, Detail, Having, Property, Query, Shape, Subject, Suppose
from assistant.wording import listed

#: Properties whose piece may go unsaid: then it is what was spoken of.
_OF_PIECES: Final = frozenset({Property.READY, Property.WINDOW, Property.TAPE})
_ONE: Final = frozenset({Shape.WHETHER, Shape.WHEN, Shape.HOW_LONG, Shape.NEEDED, None})
#: Properties that have one product for an answer: of two that fit it is asked which.
_ONE_PRODUCT: Final = frozenset({Property.MIX, Property.THIN, Property.COVER, Property.POT, Property.COMPAT})
_NO_PRODUCT: Final = frozenset({Property.NEXT, Property.FINISH, Property.DUST, Property.GRIT, Property.CONVERT})
_WHOLE: Final = frozenset({Property.STATUS, Property.FINISH, Property.NEXT, Property.LEFT, Property.DIARY})


def settle(asked: Asked, talk: Talk, context: Context) -> Query:
    """Give the query that was asked. ``Back`` where two things fit, ``Unclear`` where nothing does."""
    scene = Scene.of(talk, context)
    if asked.again and (last := last_query(context, talk.now)) is not None:
        return replace(last, shape=Shape.WHY)
    danger = hazard_of(asked, scene)
    if danger is not None:
        return Query(Property.AID, Shape.WHAT, _products_only(asked), lemmas=asked.lemmas)
    kept = AGAIN if asked.times == (timedelta(),) else KEPT
    if asked.fragment and (last := last_query(context, talk.now, kept)) is not None:
        return fragment_of(asked, last, scene, context, subject_of(asked, scene, last.what))
    known = _card(asked, scene)
    if known is not None:
        return known
    return _query(asked, scene)


def remember(
    query: Query, context: Context, talk: Talk, pieces: Sequence[str] = (), products: Sequence[str] = ()
) -> None:
    """Keep what was asked, for the follow-up: the query, and what "it" is now (the answer's pieces and products)."""
    last = last_query(context, talk.now) if query.shape is Shape.WHY else None
    keep(
        last or query, context, talk.now
    )  # the reasons of an answer are no question that "and touching it?" would change
    spoken = query.subject.pieces or tuple(pieces[:1])
    if spoken:
        context.pieces = tuple(spoken)
    product = next(iter(query.subject.products), None) or next(iter(products), None)
    context.product = product or context.product
    if query.subject.spaces:
        context.space = query.subject.spaces[0]


def danger(lemmas: frozenset[str]) -> Aid | None:
    """Give the danger that any words tell of, a question's or not: an accident goes before all else that was said."""
    return hazard(lemmas)


def hazard_of(asked: Asked, scene: Scene) -> Aid | None:
    """Give the danger that the words tell of, or None."""
    names = [o for n in asked.products for o in n.options[:1]]
    cards = [c for n in names if (c := scene.talk.card(n)) is not None]
    return hazard(asked.lemmas, *cards)


def _products_only(asked: Asked) -> Subject:
    return Subject(products=tuple(o for n in asked.products for o in n.options[:1]))


def _card(asked: Asked, scene: Scene) -> Query | None:
    """Give the question as one of the trade, where a card has its words and the job's own reading is the worse."""
    names = [o for n in asked.products for o in n.options[:1]]
    cards = [c for n in names if (c := scene.talk.card(n)) is not None]
    kinds = frozenset(k for c in cards for k in (c.family, c.kind, c.generic) if k)
    found = know.find(asked.lemmas, kinds)
    sure = found is not None and (asked.doubt >= 0.5 or asked.general or asked.what is Property.KNOW)
    if asked.what is Property.KNOW or sure:
        return Query(Property.KNOW, Shape.WHAT, Subject(products=tuple(names)), lemmas=asked.lemmas)
    return None


def _query(asked: Asked, scene: Scene) -> Query:
    from assistant.ask.table import resolver

    what = asked.what or Property.READY
    found = resolver(what)
    shape = asked.shape
    if shape is None or (found is not None and shape not in found.shapes):
        shape = found.natural if found is not None else Shape.WHAT
    subject = subject_of(asked, scene, what)
    past = what in BEHIND or asked.past
    query = Query(
        what=what,
        shape=shape,
        subject=subject,
        time=time_of(asked.times, scene.now, what, past=past),
        stage=asked.stage,
        amount=asked.amount,
        suppose=suppose_of(asked, scene, subject.pieces),
        negated=asked.negated,
        unknown=asked.unknown,
        goal=asked.goal,
        act=asked.act,
        ordinal=asked.ordinal,
        count=asked.count,
        detail=asked.detail or Detail.TIME,
        since=asked.since,
        part=asked.part,
        wanted=asked.wanted,
        by_weight=asked.by_weight,
        percent=asked.percent,
        area=asked.area,
        noisy=asked.noisy,
        measure=asked.measure,
        unit=asked.unit,
        grit=asked.grit,
        item=asked.item,
        topic=asked.topic,
        lemmas=asked.lemmas,
    )
    if asked.bedtime and query.time is None:
        query = replace(query, time=_bedtime(scene))
    return _fitting(query)


def _bedtime(scene: Scene) -> By:
    """Give the next moment the hours of sleep begin. ``Back`` where nobody has told them."""
    from assistant.craft.plan.grid import daily_rule

    clocks = daily_rule(scene.state, "sleep", scene.now)
    if clocks is None:
        raise Back("When do you go to bed?", Slot.RANGE)
    today = datetime.combine(scene.now.date(), clocks[0], scene.now.tzinfo)
    return By(today if today > scene.now else today + timedelta(days=1))


def _fitting(query: Query) -> Query:
    """Make the parts of a query go together as its property wants them."""
    if query.what is Property.TAPE and query.act is None:
        query = replace(query, act=Act.UNMASK)
    if query.what is Property.MIX and query.wanted is not None and query.part == query.wanted:
        query = replace(query, wanted=None)
    if query.what is Property.CONVERT and query.percent is None and query.unit is None and query.suppose is None:
        query = replace(query, shape=Shape.HOW_MUCH)
    return query


# -- what it is about ---------------------------------------------------------------------------


def subject_of(asked: Asked, scene: Scene, what: Property) -> Subject:
    """Settle pieces, spaces, products and filters. ``Back`` where two fit a name that means one."""
    spaces = tuple(s for n in asked.spaces if (s := settling.space(scene, (n,))) is not None)
    pieces: list[str] = []
    quantifier: Quantifier | None = None
    part: str | None = None
    for group in asked.groups:
        if what in _WHOLE and not group.names and not group.spaces and group.quantifier is not None:
            continue
        if _everything(group):
            quantifier = group.quantifier
            spaces = spaces or tuple(s for n in group.spaces if (s := settling.space(scene, (n,))) is not None)
            continue
        found = _pieces(scene, group, asked)
        pieces += found.pieces
        part = found.part or part
        if group.quantifier in (Quantifier.ANY, Quantifier.NONE):
            quantifier = group.quantifier
    if what in _OF_AIR and not (spaces or pieces or quantifier) and _pointed(asked):
        spaces = (scene.context.space,) if scene.context.space and scene.fresh else ()
    besides = _besides(asked, scene)
    products = _products(asked, scene, what, tuple(pieces))
    alone = (
        not pieces and not spaces and not products and not asked.having and quantifier is None and not asked.fragment
    )
    if alone and what in _OF_PIECES and asked.shape in _ONE and scene.last_pieces and scene.fresh:
        pieces = [*scene.last_pieces]
    return Subject(
        pieces=tuple(dict.fromkeys(pieces)), spaces=spaces, products=products, kinds=asked.kinds,
        having=tuple(_having(f) for f in asked.having), besides=besides, quantifier=quantifier, part=part,
    )  # fmt: skip


#: Properties of the air of a space, which "that" may be where one was spoken of.
_OF_AIR: Final = frozenset({Property.DEW, Property.COLD, Property.HUMIDITY})


def _pointed(asked: Asked) -> bool:
    """Whether a question points at what was spoken of: "is that dry enough"."""
    return asked.fragment or any(g.pronoun is not None for g in asked.groups) or bool({"that", "it"} & asked.lemmas)


def _pieces(scene: Scene, group: Group, asked: Asked) -> settling.Settled:
    """Settle a group; "it" may be of long ago, for a question writes nothing and its answer names the piece."""
    bare = not group.names and not group.spaces and group.unknown is None and group.pronoun is not None
    if bare and group.quantifier is None and group.count is None and not scene.hints.pieces:
        if scene.last_pieces:
            return settling.Settled(scene.last_pieces, group.part)
        if asked.fragment:
            return settling.Settled(())
    return settling.pieces(scene, group, need=False)


def _everything(group: Group) -> bool:
    return (
        not group.names
        and (group.pronoun is None or group.quantifier is Quantifier.ALL)
        and group.unknown is None
        and group.quantifier
        in (
            Quantifier.ALL,
            Quantifier.ANY,
            Quantifier.EACH,
            Quantifier.NONE,
        )
    )


def _besides(asked: Asked, scene: Scene) -> tuple[str, ...]:
    out: list[str] = []
    for group in (*asked.besides, *(g.besides for g in asked.groups if g.besides is not None and _everything(g))):
        out += [s for n in group.spaces if (s := settling.space(scene, (n,))) is not None and not group.names]
        if group.names:
            out += settling.pieces(scene, group).pieces
    return tuple(dict.fromkeys(out))


def _having(said: Filter) -> Having:
    product = said.product.options[0] if said.product is not None else None
    return Having(said.has, said.negated, said.stage, product, said.count)


def _products(asked: Asked, scene: Scene, what: Property, pieces: tuple[str, ...]) -> tuple[str, ...]:
    if what in _NO_PRODUCT or (what is Property.READY and (pieces or asked.groups)):
        return ()
    out: list[str] = []
    for name in asked.products:
        out += _product(name, scene, what, pieces)
    return tuple(dict.fromkeys(out))


def _product(name: Name, scene: Scene, what: Property, pieces: tuple[str, ...]) -> tuple[str, ...]:
    """Give the product of a name: the one the pieces have or want of two that fit, else asked which."""
    options = name.options
    if len(options) == 1 or name.plural:
        return options
    if (hinted := scene.hints.product(options)) is not None:
        return (hinted,)
    from assistant.craft.waits import planned

    wanted = [o for o in options for p in pieces if o in planned(scene.state, p)]
    if len(set(wanted)) == 1:
        return (wanted[0],)
    if scene.context.product in options and scene.fresh:
        return (str(scene.context.product),)
    if what in _ONE_PRODUCT:
        raise Back(f"Which product: {listed(options, 'or')}?", Slot.PRODUCT, options)
    return options


__all__ = ["Suppose", "danger", "hazard_of", "remember", "settle", "subject_of"]
