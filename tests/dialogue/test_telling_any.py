"""Whatever a reader may make of a phrase: it is told, asked about or declined, and nothing said is lost."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import time, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from assistant.craft.times import utc
from assistant.dialogue.context import Context
from assistant.dialogue.talk import Back, Refused, Unclear
from assistant.dialogue.telling import tell
from assistant.journal.events import Task, to_json
from assistant.language.meanings import (
    Act,
    Correction,
    Deed,
    Errand,
    Flaw,
    Force,
    GearFact,
    Group,
    Meaning,
    Note,
    Pronoun,
    Quantifier,
    Reading,
    Remark,
    Rule,
    Same,
    Spell,
    TinFact,
    Undo,
    Unread,
)
from assistant.language.when import Clock, Day, When
from assistant.quantity import Amount
from dialogue.typed import DOORS, TRIMS, Typed, coat, on, piece, product, sand, space

pieces = st.sampled_from(
    [piece("hatch trim"), piece("bulkhead"), piece(*DOORS), piece(*DOORS, plural=True), piece(*TRIMS), piece("gone")]
)
spaces = st.sampled_from([space("galley"), space("fore cabin"), space("nowhere")])
products = st.sampled_from(
    [product("amber varnish"), product("grey primer"), product("tread epoxy"), product("amber varnish", "grey primer")]
)
inner = st.builds(Group, names=st.lists(pieces, max_size=2).map(tuple))
groups = st.none() | st.builds(
    Group, names=st.lists(pieces, max_size=2).map(tuple), quantifier=st.none() | st.sampled_from(Quantifier),
    count=st.none() | st.integers(0, 4), pronoun=st.none() | st.sampled_from(Pronoun),
    spaces=st.lists(spaces, max_size=1).map(tuple), besides=st.none() | inner,
    part=st.none() | st.just("bottom half"), unknown=st.none() | st.just("brightwork"),
)  # fmt: skip
whens = st.none() | st.sampled_from([
    When(clock=Clock((10, 22))), When(clock=Clock((13,), 30)), When(day=Day(back=1)), When(day=Day(back=-1)),
    When(ago=timedelta(minutes=20)), When(day=Day(weekday=4)), When(window=(time(9), time(11))),
    When(clock=Clock((9,)), day=Day(back=1)), When(day=Day(back=0, part="night")),
])  # fmt: skip
amounts = st.none() | st.sampled_from([Amount(60, "ml"), Amount(0, "ml"), Amount(-5, "g"), Amount(90000, "ml")])
percents = st.none() | st.sampled_from([Amount(10, "percent"), Amount(0, "percent"), Amount(140, "percent")])
degrees = st.none() | st.sampled_from([Amount(14, "degC"), Amount(99, "degC")])
RESIN = (("resin", Amount(60, "ml")),)
forces = st.sampled_from(Force)
deeds = st.builds(
    Deed, act=st.sampled_from(Act), verb=st.sampled_from(["", "do"]), pieces=groups, force=forces,
    products=st.lists(products, max_size=2).map(tuple), kind=st.none() | st.sampled_from(["primer", "paint", "epoxy"]),
    coat=st.none() | st.integers(0, 50), final=st.booleans(), count=st.none() | st.integers(0, 3),
    another=st.booleans(), grit=st.lists(st.sampled_from([7, 80, 240]), max_size=2).map(tuple), thinned=percents,
    amount=amounts, ratio=st.none() | st.just((2.0, 1.0)), when=whens, began=whens, due=whens, not_before=whens,
    took=st.none() | st.just(timedelta(minutes=40)), after=st.none() | st.just("after the bulkhead"),
    put_off=st.booleans(), dropped=st.booleans(), gapped=st.booleans(), words=st.just("some words"),
    held=st.sampled_from([None, None, None, "slotted"]), doubt=st.sampled_from([0.0, 0.0, 0.9]),
    parts=st.sampled_from([(), RESIN, (*RESIN, ("hardener", Amount(3, "g")))]),
)  # fmt: skip
others = st.one_of(
    st.builds(Spell, spaces=st.lists(spaces, max_size=2).map(tuple), temperature=degrees, humidity=percents,
              when=whens, until=whens, heating=st.none() | st.just("off"), force=forces,
              besides=st.lists(spaces, max_size=1).map(tuple), lasting=st.none() | st.just(timedelta(hours=3))),
    st.builds(TinFact, change=st.sampled_from(["bought", "used", "left", "empty", "eaten"]), amount=amounts,
              products=st.lists(products, max_size=2).map(tuple), share=st.none() | st.just(0.5), pieces=groups,
              count=st.none() | st.integers(0, 3), when=whens, force=forces, unknown=st.none() | st.just("goop")),
    st.builds(Rule, rule=st.sampled_from(["quiet", "sleep", "away", "deadline", "closed", "helper", "tea"]),
              start=whens, end=whens, spaces=st.lists(spaces, max_size=1).map(tuple), pieces=groups, force=forces,
              lasting=st.none() | st.just(timedelta(hours=3)), daily=st.booleans()),
    st.builds(Flaw, fault=st.sampled_from(["run", "moss"]), pieces=groups, when=whens, mended=st.booleans(),
              force=forces),
    st.builds(Correction, target=st.none() | deeds, right=st.none() | deeds, wrong=st.none() | deeds,
              numbers=st.lists(st.sampled_from([1.0, 2.5, 240.0]), max_size=2).map(tuple), temperature=degrees,
              spaces=st.lists(spaces, max_size=1).map(tuple), fault=st.none() | st.just("sag"), force=forces),
    st.builds(Undo, count=st.integers(0, 5), target=st.none() | deeds),
    st.builds(Same, pieces=groups, source=groups, coat=st.none() | st.integers(1, 4), when=whens, force=forces),
    st.builds(Errand, text=st.sampled_from(["", "order hinges"]), pieces=groups, due=whens, ring=whens, force=forces,
              dropped=st.booleans()),
    st.builds(GearFact, item=st.sampled_from(["", "filters"]), change=st.sampled_from(["fitted", "lost"]), when=whens,
              force=forces),
    st.builds(Note, text=st.sampled_from(["", "words"]), when=whens, force=forces),
    st.just(Remark()), st.just(Unread(words="mumble")),
)  # fmt: skip
phrases = st.lists(st.one_of(deeds, deeds, others), min_size=1, max_size=3).map(tuple)


@pytest.fixture(scope="module")
def told(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Typed]:
    """A talk in which something has been done already."""
    talk = Typed(tmp_path_factory.mktemp("any"))
    talk(coat(on("hatch trim"), 1, products=(product("amber varnish"),)))
    talk(sand(on(piece(*DOORS, plural=True)), 180))
    talk(Spell(spaces=(space("galley"),), temperature=Amount(14, "degC")))
    yield talk
    talk.close()


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(phrases)
def test_a_phrase_is_told_asked_about_or_declined(told: Typed, said: tuple[Meaning, ...]) -> None:
    now = told.now
    talk = told.linnet.session.talk(now, "phrase")
    state, context = talk.state, told.context.copy()
    before = context.to_json()
    try:
        results = tell(talk, Reading("phrase", said), context)
    except (Back, Refused, Unclear) as early:
        assert str(early)
        left = context.to_json()
        left.pop("pending", None)
        left.pop("unread_last", None)
        assert left == before
    else:
        for event in (e for r in results for e in r.events):
            to_json(event)
            coming = event.kind in ("task", "hours", "climate")
            assert coming or utc(event.at) <= utc(now) + timedelta(minutes=2)
        assert all(r.reply for r in results)
        assert Context.from_json(context.to_json()) == context
        stuck = {e.kind for r in results for e in r.events if r.outcome == "unclear"}
        assert stuck <= {"unread"}
    assert talk.state is state
    assert told.state.last_id == state.last_id


@settings(max_examples=400, deadline=None, suppress_health_check=list(HealthCheck))
@given(deeds)
def test_every_number_that_was_said_is_read_back(told: Typed, said: Deed) -> None:
    talk = told.linnet.session.talk(told.now, "phrase")
    try:
        results = tell(talk, Reading("phrase", (said,)), told.context.copy())
    except (Back, Refused, Unclear):
        return
    events = [e for r in results for e in r.events]
    reply = " ".join(r.reply for r in results)
    if said.force is not Force.DONE:
        assert all(isinstance(e, Task) or e.kind in ("undo", "unread") for e in events)
        return
    for e in events:
        grit, much, thin = (getattr(e, key, None) for key in ("grit", "amount", "thinned"))
        assert grit is None or str(grit) in reply
        assert much is None or f"{much.value:g}" in reply
        assert thin is None or (f"{thin.value:g}" in reply if thin.value else "neat" in reply)
        assert getattr(e, "part", None) is None or "bottom half" in reply
        assert getattr(e, "piece", None) is None or e.piece in reply
    if events and said.act is not Act.OTHER and not (said.dropped or said.put_off or said.held):
        when = said.when is not None and said.when.said
        assert not when or ":" in reply
