"""The stock against sums done by hand, figures published elsewhere, and a ledger that knows no tins."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest
from dateutil.relativedelta import relativedelta
from diary.build import JOB, coat, job, mix, t, tin, told
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.craft.draws import ledger
from assistant.craft.keeping import best_before
from assistant.craft.needs import kit, needs, shopping, short
from assistant.craft.stock import Stock, stock
from assistant.journal.events import Event, Fill, Mix, Set, Tin
from assistant.journal.state import State, state_of
from assistant.library.cards import Card, Ratio
from assistant.library.catalogue import Library
from assistant.problem import Problem
from assistant.quantity import Amount, grams, ml

#: 0.4 m2 at 10 m2/l is 40 ml, of which a tenth of what is poured is lost: 40 / 0.9. By hand.
TRIM = 44.444
#: 1.8 m2: 180 / 0.9.
DOORS = 200.0


def shelf(folder: Path, *events: Event, product: str = "amber varnish", text: str = JOB) -> Stock:
    state, cards, _ = job(folder, *events, text=text)
    return stock(state, cards)[product]


def value(amount: Amount | None) -> float:
    assert amount is not None
    return amount.value


def test_tins_nobody_touched_are_full(tmp_path: Path) -> None:
    found = shelf(tmp_path)
    assert value(found.left) == 1500.0
    assert (found.opened, found.batch) == (1, ("V-118", "V-121"))


def test_a_coat_takes_area_by_spreading_rate_with_a_tenth_lost(tmp_path: Path) -> None:
    found = shelf(tmp_path, coat("10:00"), coat("18:00", n=2), coat("11:00", "galley doors"))
    assert value(found.used) == pytest.approx(2 * TRIM + DOORS, abs=0.01)
    assert value(found.left) == pytest.approx(1500 - 2 * TRIM - DOORS, abs=0.01)


def test_a_coat_without_a_spreading_rate_goes_by_solids_and_film(tmp_path: Path) -> None:
    """65 percent solids at 125 um cover 5.2 m2 a litre (MIL-HDBK-1110 section 2.1.5's worked kind of sum)."""
    text = JOB.replace('spreading = "10 m2/l"', 'volume_solids = "65 percent"\nfilm = "125 um"')
    text = text.replace('area = "0.4 m2"', 'area = "5.2 m2"')
    assert value(shelf(tmp_path, coat("10:00"), text=text).used) == pytest.approx(1000 / 0.9, abs=0.01)


def test_thinner_goes_by_the_paint_the_coat_took(tmp_path: Path) -> None:
    found = shelf(tmp_path, coat("10:00", thinned=10.0), product="thinner no. 2")
    assert value(found.left) == pytest.approx(1000 - 4.444, abs=0.01)


def test_what_was_said_to_be_used_is_taken_as_said(tmp_path: Path) -> None:
    assert value(shelf(tmp_path, tin("09:00", "amber varnish", "used", 200)).left) == 1300.0


def test_said_used_stands_for_the_coats_before_it_that_day_and_for_no_others(tmp_path: Path) -> None:
    found = shelf(
        tmp_path, coat("17:00", day=13), coat("09:00", n=2), coat("10:00", "galley doors"),
        tin("10:30", "amber varnish", "used", 230), coat("16:00", n=3),
    )  # fmt: skip
    assert value(found.used) == pytest.approx(230 + 2 * TRIM, abs=0.01)


def test_a_two_pack_coat_comes_out_of_its_pot_and_is_not_counted_again(tmp_path: Path) -> None:
    pot = mix("09:00", "two-part gloss", 300, ("base", 200), ("activator", 100))
    found = shelf(tmp_path, pot, coat("09:20", "galley doors", product="two-part gloss"), product="two-part gloss")
    assert value(found.left) == 1200.0
    assert dict(found.parts) == {"base": ml(800.0), "activator": ml(400.0)}


def test_a_two_pack_coat_two_days_after_the_pot_is_reckoned(tmp_path: Path) -> None:
    """1.8 m2 at 12 m2/l is 150 ml; with a tenth lost 166.67 (by hand)."""
    pot = mix("09:00", "two-part gloss", 300, ("base", 200), ("activator", 100), day=12)
    late = coat("09:20", "galley doors", product="two-part gloss")
    assert value(shelf(tmp_path, pot, late, product="two-part gloss").used) == pytest.approx(466.667, abs=0.01)


def test_a_one_pack_pot_serves_its_coats_until_it_is_empty(tmp_path: Path) -> None:
    """100 ml decanted do two coats of 44.44; of the third, 33.33 come out of the tin."""
    pot = mix("08:00", "amber varnish", 100)
    coats = [coat("08:30"), coat("08:40", n=2), coat("08:50", n=3)]
    assert value(shelf(tmp_path, pot, *coats).used) == pytest.approx(133.333, abs=0.01)


def test_half_the_kit_is_half_of_each_part(tmp_path: Path) -> None:
    """4:1 is 400 g and 100 g to make 500 g (TM 55-1905-223-SDC section 8-24); half of it is 200 and 50."""
    text = JOB.replace('parts = ["base 2", "activator 1"]', 'parts = ["base 4", "activator 1"]')
    text = text.replace('by = "volume", parts = ["base 4"', 'by = "weight", parts = ["base 4"')
    text = text.replace('size = "1500 ml"', 'size = "500 g"')
    state, cards, _ = job(tmp_path, text=text)
    half = kit(state, cards, "two-part gloss", 0.5)
    assert half.parts == (("base", grams(200.0)), ("activator", grams(50.0)))
    pot = Mix(product="two-part gloss", amount=half.total, parts=half.parts, at=t("09:00"))
    found = shelf(tmp_path, pot, text=text, product="two-part gloss")
    assert found.left == grams(250.0)
    assert dict(found.parts) == {"base": grams(200.0), "activator": grams(50.0)}


def test_a_part_drawn_out_of_proportion_leaves_less_of_that_part(tmp_path: Path) -> None:
    """A kit of 750 ml at 2:1 is 500 and 250; 100 of resin with 80 of hardener leave 400 and 170."""
    found = shelf(tmp_path, mix("09:00", "tread epoxy", 180, ("resin", 100), ("hardener", 80)),
                  product="tread epoxy")  # fmt: skip
    assert dict(found.parts) == {"resin": ml(400.0), "hardener": ml(170.0)}
    assert value(found.left) == 570.0


def test_grams_come_out_of_millilitres_by_density(tmp_path: Path) -> None:
    """115 g of resin at 1.15 g/ml are 100 ml, 50 g of hardener at 1.00 are 50 (by hand)."""
    parts = (("resin", grams(115.0)), ("hardener", grams(50.0)))
    pot = Mix(product="tread epoxy", amount=grams(165.0), parts=parts, at=t("09:00"))
    assert value(shelf(tmp_path, pot, product="tread epoxy").left) == pytest.approx(600.0)


def test_empty_puts_the_reckoning_right_and_shut_tins_are_full(tmp_path: Path) -> None:
    coats = [coat(f"{8 + n}:00", "galley doors", n, day=10 + n) for n in (1, 2, 3, 4)]  # 800 ml by reckoning
    found = shelf(tmp_path, *coats, tin("18:00", "amber varnish", "empty"))
    assert value(found.left) == 750.0
    early = shelf(tmp_path, coats[0], tin("18:00", "amber varnish", "empty"))
    assert value(early.left) == 750.0 and value(early.corrected) == 550.0


def test_spoiled_takes_the_tin_in_use_and_a_shut_tin_goes_back_whole(tmp_path: Path) -> None:
    assert value(shelf(tmp_path, tin("09:00", "amber varnish", "spoiled")).left) == 750.0
    back = shelf(tmp_path, tin("09:00", "amber varnish", "used", 100), tin("09:30", "amber varnish", "returned"))
    assert (value(back.left), value(back.returned)) == (650.0, 750.0)


def test_what_is_poured_back_was_not_used(tmp_path: Path) -> None:
    found = shelf(tmp_path, tin("09:00", "amber varnish", "used", 300), tin("12:00", "amber varnish", "returned", 80))
    assert (value(found.left), value(found.used)) == (1280.0, 220.0)


def test_a_tin_bought_without_its_size_is_taken_like_the_last_and_said_so(tmp_path: Path) -> None:
    found = shelf(tmp_path, tin("09:00", "amber varnish", "bought"))
    assert value(found.left) == 2250.0
    assert any("750" in note for note in found.notes)


def test_what_nobody_knows_is_not_made_up(tmp_path: Path) -> None:
    never = shelf(tmp_path, tin("09:00", "contact glue", "bought"), product="contact glue")
    assert never.left is None and never.notes
    no_area = shelf(tmp_path, coat("09:00", "cratch board"))
    assert value(no_area.left) == 1500.0
    assert any("area" in note for note in no_area.notes)
    filled = Fill(piece="hatch trim", product="tread epoxy", at=t("09:00"))
    assert value(shelf(tmp_path, filled, product="tread epoxy").left) == 750.0


def test_more_used_than_there_was_is_said_and_left_is_not_negative(tmp_path: Path) -> None:
    found = shelf(tmp_path, tin("09:00", "amber varnish", "used", 1700))
    assert (value(found.left), value(found.over)) == (0.0, 200.0)
    assert any("200 ml more" in note for note in found.notes)


def test_the_plan_takes_what_its_coats_not_yet_on_take(tmp_path: Path) -> None:
    """Of five coats on the trim three are to come, of three on the doors two: 3 x 44.44 + 2 x 200."""
    done = [coat("08:00"), coat("16:00", n=2), coat("09:00", "galley doors")]
    state, cards, _ = job(tmp_path, *done)
    assert needs(state, cards)["amber varnish"].amount.value == pytest.approx(533.33, abs=0.01)
    used_up = [*done, tin("18:00", "amber varnish", "used", 1250)]
    state, cards, _ = job(tmp_path, *used_up)
    have = value(stock(state, cards)["amber varnish"].left)
    (line,) = short(state, cards)
    assert value(line.missing) == pytest.approx(533.33 - have, abs=0.01)
    (buy,) = shopping(state, cards)
    assert (buy.product, buy.tins, buy.size) == ("amber varnish", 1, ml(750.0))


def test_a_plan_that_there_is_enough_for_needs_no_shopping(tmp_path: Path) -> None:
    state, cards, _ = job(tmp_path)
    assert shopping(state, cards) == []


def test_the_whole_journal_counts_more_than_the_state_remembers(tmp_path: Path) -> None:
    """The state keeps forty mixes; sixty of 10 ml are 600 ml, and the short reckoning says it is short."""
    pots = [mix("09:00", "tread epoxy", 10, ("resin", 6.667), ("hardener", 3.333), day=1 + n % 28) for n in range(60)]
    state, cards, entries = job(tmp_path, *pots)
    whole = stock(state, cards, history=[e.event for e in entries])["tread epoxy"]
    assert value(whole.used) == pytest.approx(600.0, abs=0.01)
    assert not any("whole journal" in note for note in whole.notes)
    assert any("whole journal" in note for note in stock(state, cards)["tread epoxy"].notes)


@pytest.mark.parametrize(
    ("bought", "opened"), [("2024-01-31", None), ("2025-08-31", "2026-02-28"), (None, "2024-02-29")]
)
def test_shelf_life_runs_in_calendar_months(bought: str | None, opened: str | None) -> None:
    """Against dateutil's relativedelta; the earlier of the two ends counts."""
    card = Card("x", "f", "varnish", "x", shelf=(24.0, 6.0))
    days = [datetime.fromisoformat(d).replace(tzinfo=UTC) if d else None for d in (bought, opened)]
    ends = [d + relativedelta(months=m) for d, m in zip(days, (24, 6), strict=True) if d]
    found = best_before(card, days[0], days[1])
    assert found is not None and found[0] == min(ends).date()


def test_old_tins_are_warned_of_with_what_to_look_for(tmp_path: Path) -> None:
    text = JOB.replace("opened = 2026-03-01", "opened = 2025-01-10")  # a varnish keeps 12 months open
    state, cards, _ = job(tmp_path, text=text)
    (warning,) = stock(state, cards, t("12:00"))["amber varnish"].warnings
    assert "10 January 2026" in warning and "12 months open" in warning
    assert stock(state, cards, t("12:00"))["two-part gloss"].warnings == ()


# -- against a ledger that knows nothing of tins ---------------------------------------------------------

STEP = st.tuples(st.sampled_from(("bought", "used", "mix", "spoiled")), st.integers(1, 400))


@settings(max_examples=60, deadline=None)
@given(st.lists(STEP, max_size=25), st.integers(100, 5000))
def test_with_everything_measured_left_is_what_came_less_what_went(steps: list[tuple[str, int]], size: int) -> None:
    """In whole millilitres the sum is exact, so agreement is to the millilitre and not about it."""
    came, went = size, 0
    events: list[Event] = [
        Set(what="label", name="x", values={"family": "varnish-polyurethane-1k"}),
        Set(what="tin", name="x#1", values={"label": "x", "size": f"{size} ml"}),
    ]
    for n, (what, amount) in enumerate(steps):
        at = t(f"{8 + n // 4}:{15 * (n % 4):02d}")
        left = came - went
        if what == "bought":
            came += amount
        elif amount > left:
            continue
        else:
            went += amount
        events.append(
            Mix(product="x", amount=ml(amount), at=at) if what == "mix"
            else Tin(product="x", change=what, amount=ml(amount), at=at)
        )  # fmt: skip
    state = state_of(told(events))
    found = stock(state, Library(state.labels).card)["x"]
    assert found.left == ml(came - went)


KINDS = ("bought", "opened", "used", "empty", "spoiled", "returned", "mix", "coat")


@settings(max_examples=120, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(KINDS), st.one_of(st.none(), st.integers(1, 900))), max_size=30))
def test_the_books_always_balance(steps: list[tuple[str, int | None]]) -> None:
    """Whatever is told, in whatever order: nothing negative, no tin over full, both sides equal."""
    events: list[Event] = [
        Set(what="label", name="x", values={"family": "varnish-polyurethane-1k", "spreading": "10 m2/l"}),
        Set(what="piece", name="p", values={"area": "1 m2"}),
        Set(what="tin", name="x#1", values={"label": "x", "size": "500 ml", "count": 2}),
    ]
    for n, (what, amount) in enumerate(steps):
        at = t(f"{8 + n // 4}:{15 * (n % 4):02d}")
        said = None if amount is None else ml(float(amount))
        if what == "mix":
            events.append(Mix(product="x", amount=said, at=at))
        elif what == "coat":
            events.append(coat(f"{at:%H:%M}", "p", product="x"))
        else:
            events.append(Tin(product="x", change=what, amount=said, at=at))
    state = state_of(told(events))
    found = stock(state, Library(state.labels).card)["x"]
    sides = (found.came, found.over, found.used, found.spoiled, found.returned, found.corrected)
    came, over, used, spoiled, returned, corrected = (value(a) for a in sides)
    assert value(found.left) == pytest.approx(came + over - used - spoiled - returned - corrected, abs=1e-6)
    assert min(value(found.left), over, used, spoiled, returned) >= -1e-9
    for one in found.tins:
        if one.size is not None:
            assert -1e-9 <= value(one.left) <= one.size.value + 1e-9
    assert value(found.left) == pytest.approx(sum(value(o.left) for o in found.tins if o.size), abs=1e-6)


def test_a_ledger_names_the_events_it_counts(tmp_path: Path) -> None:
    state, cards, entries = job(
        tmp_path, coat("10:00"), mix("11:00", "tread epoxy", 30, ("resin", 20), ("hardener", 10))
    )
    counted = {d.of for d in ledger(state, cards).draws}
    assert counted == {e.event.id for e in entries if e.event.kind in ("coat", "mix")}


def test_a_kit_whose_size_nobody_said_is_asked_for() -> None:
    card = Card("k", "f", "epoxy", "k", ratio=Ratio("volume", (("a", 1.0), ("b", 1.0)), "label"), label="k")
    with pytest.raises(Problem, match="how big"):
        kit(State(), lambda _: card, "k")
