"""A label laid over its family: the tin's word over the book's, figure by figure."""

import pytest

from assistant.journal.state import Named
from assistant.library import labels
from assistant.library.catalogue import Library
from assistant.library.families import family
from assistant.library.fields import Flaw
from assistant.problem import Problem

VARNISH = {
    "also": ["varnish"],
    "family": "varnish-polyurethane-1k",
    "volume_solids": "45 percent",
    "thinner": {"name": "thinner no. 2", "max": "10 percent"},
    "times": [
        {"at": "20 degC", "touch": "45 to 60 min", "overcoat": {"min": "8 h", "max": "48 to 72 h"}},
        {"at": "10 degC", "touch": "2 h", "overcoat": {"min": "16 h", "max": "96 h"}},
    ],
}
EPOXY = {
    "family": "epoxy-adhesive",
    "ratio": {"by": "volume", "parts": ["resin 2", "hardener 1"]},
    "density": {"resin": "1.15 g/ml", "hardener": "1.00 g/ml"},
    "pot_life": {"at": "20 degC", "mass": "100 g", "time": "30 to 40 min"},
}


def test_a_labels_range_keeps_its_late_end_as_the_time_and_its_early_end_beside_it():
    touch = labels.read("amber varnish", VARNISH).stages["touch"]
    assert [(r.celsius, r.hours, r.early) for r in touch.rows] == [(10.0, 2.0, None), (20.0, 1.0, 0.75)]
    assert touch.basis == "label"
    assert touch.from_label


def test_of_a_range_for_the_windows_end_the_early_end_counts():
    end = labels.read("amber varnish", VARNISH).overcoat_max
    assert [(r.celsius, r.hours) for r in end.rows] == [(10.0, 96.0), (20.0, 48.0)]


def test_what_the_label_does_not_say_stays_the_familys_with_its_basis():
    card, book = labels.read("amber varnish", VARNISH), family("varnish-polyurethane-1k")
    assert card.stages["handle"] == book.stages["handle"]
    assert not card.stages["handle"].from_label
    assert (card.film, card.basis["film"]) == (book.film, book.basis["film"])
    assert (card.solids, card.basis["solids"]) == (45.0, "label")
    assert (card.thinner.name, card.thinner.max, card.thinner.basis) == ("thinner no. 2", 10.0, "label")
    assert (card.name, card.label, card.family, card.kind) == (
        "amber varnish", "amber varnish", "varnish-polyurethane-1k", "varnish",
    )  # fmt: skip


def test_a_labels_rows_keep_the_familys_rate_for_beyond_them():
    card = labels.read("amber varnish", VARNISH)
    assert card.stages["touch"].rate.law == "doubling"
    assert card.overcoat_max.rate.ea == 31.0


def test_a_pot_lifes_range_keeps_its_short_end_and_the_familys_halving():
    card = labels.read("tread epoxy", EPOXY)
    assert (card.pot.minutes, card.pot.grams, card.pot.step, card.pot.from_label) == (30.0, 100.0, 10.0, True)
    assert card.ratio.parts == (("resin", 2.0), ("hardener", 1.0))
    assert card.density == {"resin": 1.15, "hardener": 1.0}


def test_a_ratio_of_other_parts_leaves_none_of_the_familys_densities_by_part():
    card = labels.read("filler", {"family": "filler-polyester", "ratio": {"by": "weight", "parts": ["a 50", "b 1"]}})
    assert card.density == {}


def test_the_order_of_the_familys_stages_stands():
    # Touch-dry in 4 h by the label: then it is not dust-free in the family's 2 h.
    slow = {"family": "varnish-polyurethane-1k", "times": [{"at": "20 degC", "touch": "4 h"}]}
    card = labels.read("slow", slow)
    assert card.stages["dust"].rows[0].hours == 4.0
    assert "touch" in card.stages["dust"].basis
    assert card.stages["sand"].rows[0].hours == 6.0


def test_sanding_is_not_called_ready_before_the_labels_recoat_where_the_family_takes_them_together():
    slow = {"family": "varnish-polyurethane-1k", "times": [{"at": "20 degC", "overcoat": "24 h"}]}
    card = labels.read("slow", slow)
    assert card.stages["sand"].rows[0].hours == 24.0
    assert card.stages["touch"].rows[0].hours == 1.0


def test_a_family_window_that_the_label_contradicts_is_not_known_any_more():
    slow = {"family": "varnish-polyurethane-1k", "times": [{"at": "20 degC", "overcoat": "4 days"}]}
    card = labels.read("slow", slow)
    assert card.overcoat_max is None
    assert "not known" in card.basis["overcoat_max"]


def test_a_label_may_say_that_the_window_has_no_end():
    times = [{"at": "20 degC", "overcoat": {"min": "6 h", "max": "none"}}]
    card = labels.read("open", {"family": "varnish-polyurethane-1k", "times": times})
    assert card.overcoat_max is None
    assert card.basis["overcoat_max"] == "none: label"


def test_a_label_adds_hazards_and_never_takes_one_away():
    card = labels.read("x", {"family": "varnish-oil", "hazards": ["isocyanate"]})
    assert set(card.hazards) == {*family("varnish-oil").hazards, "isocyanate"}


def test_a_row_colder_than_the_familys_least_says_that_the_label_allows_it():
    times = [{"at": "20 degC", "touch": "1 h"}, {"at": "5 degC", "touch": "4 h"}]
    card = labels.read("x", {"family": "varnish-polyurethane-1k", "times": times})
    assert (card.least, card.least_basis) == (5.0, "label: its coldest row")
    card = labels.read("x", {"family": "varnish-polyurethane-1k", "times": times, "least": "8 degC"})
    assert (card.least, card.least_basis) == (8.0, "label")


def test_a_band_of_temperature_is_kept_to_its_safe_side():
    times = [{"at": "16 to 21 degC", "overcoat": {"min": "8 h", "max": "48 h"}}]
    card = labels.read("x", {"family": "topcoat-polyurethane-2k", "times": times})
    assert card.stages["overcoat"].rows[0].celsius == 21.0
    assert card.overcoat_max.rows[0].celsius == 16.0


def test_without_a_family_only_the_label_speaks():
    card = labels.read("odd", {"times": [{"at": "20 degC", "touch": "1 h"}]})
    assert (set(card.stages), card.solids, card.kind) == ({"touch"}, None, "material")
    assert "assumption" in card.stages["touch"].rate.basis


def test_american_pints_by_setting():
    values = {"family": "varnish-oil", "spreading": "400 sq ft per gallon"}
    # 37.161216 m2 to 3.785411784 l, or to 4.54609 l (NIST), by hand.
    assert labels.read("x", values, us=True).spread == pytest.approx(9.81696, rel=1e-5)
    assert labels.read("x", values).spread == pytest.approx(8.17432, rel=1e-5)


@pytest.mark.parametrize(
    ("values", "path", "says"),
    [
        ({"family": "varnish-polyurethane"}, ("family",), "varnish-polyurethane-"),
        ({"times": [{"touch": "1 h"}]}, ("times", 0), "no temperature"),
        ({"times": [{"at": "20 degC", "tuch": "1 h"}]}, ("times", 0, "tuch"), '"touch"'),
        ({"times": [{"at": "20 degC", "touch": "60 to 45 min"}]}, ("times", 0, "touch"), "least above"),
        (
            {"times": [{"at": "20 degC", "overcoat": {"min": "72 h", "max": "6 h"}}]},
            ("times", 0, "overcoat", "max"),
            "never open",
        ),
        (
            {"times": [{"at": "20 degC", "touch": "2 h"}, {"at": "10 degC", "touch": "1 h"}]},
            ("times", 1, "touch"),
            "shorter as it gets colder",
        ),
        (
            {"times": [{"at": f"{c} degC", "overcoat": {"max": m}} for c, m in ((5, "1 h"), (20, "9 h"))]},
            ("times", 1, "overcoat", "max"),
            "shorter as it gets colder",
        ),
        (
            {"times": [{"at": "20 degC", "touch": "2 h"}, {"at": "68 degF", "touch": "1 h"}]},
            ("times", 1, "touch"),
            "two rows",
        ),
        ({"times": [{"at": "400 degC", "touch": "1 h"}]}, ("times", 0, "at"), "400"),
        ({"times": [{"at": "20 degC", "touch": "5 ml"}]}, ("times", 0, "touch"), "measure of time"),
        ({"times": [{"at": "20 degC", "touch": 1}]}, ("times", 0, "touch"), "no unit"),
        ({"times": [{"at": "20 degC", "touch": "9 h", "cured": "8 h"}]}, ("times", 0, "touch"), "cured"),
        ({"times": {"at": "20 degC"}}, ("times",), "list of rows"),
        ({"times": ["20 degC"]}, ("times", 0), "row of times"),
        ({"volume_solids": "120 percent"}, ("volume_solids",), "0 to 100"),
        ({"film": "40 ml"}, ("film",), "measure of film"),
        ({"density": {"resin": "0.01 g/ml"}}, ("density", "resin"), "density"),
        ({"ratio": {"parts": ["a 1", "b 1"]}}, ("ratio",), "by"),
        ({"ratio": {"by": "guess", "parts": ["a 1", "b 1"]}}, ("ratio", "by"), "volume"),
        ({"ratio": {"by": "volume", "parts": ["a 1", "b"]}}, ("ratio", "parts", 1), "its number"),
        ({"ratio": {"by": "volume", "parts": ["a 1", "b 0"]}}, ("ratio", "parts", 1), "its number"),
        ({"ratio": {"by": "volume", "parts": ["a 1", "a 2"]}}, ("ratio", "parts", 1), "twice"),
        ({"ratio": {"by": "volume", "parts": ["a 1"]}}, ("ratio", "parts"), "two parts"),
        (
            {"ratio": {"by": "volume", "parts": ["a 2", "b 1"]}, "density": {"c": "1 g/ml"}},
            ("density", "c"),
            "no part",
        ),
        ({"pot_life": {"time": "30 min"}}, ("pot_life",), "no temperature"),
        ({"pot_life": {"at": "20 degC"}}, ("pot_life",), "no time"),
        ({"pot_life": "30 min"}, ("pot_life",), "a table"),
        ({"thinner": {"nmae": "x"}}, ("thinner", "nmae"), '"name"'),
        ({"shelf": "soon"}, ("shelf",), "24 months"),
        ({"coats": "a few"}, ("coats",), "3 to 6"),
        ({"hazards": ["isocyanates"]}, ("hazards", 0), '"isocyanate"'),
        ({"pot_live": "x"}, ("pot_live",), '"pot_life"'),
    ],
)  # fmt: skip
def test_a_label_that_cannot_be_names_the_key(values, path, says):
    with pytest.raises(Flaw) as caught:
        labels.read("x", {"family": "varnish-oil", **values})
    assert caught.value.path == path
    assert says in str(caught.value)


def test_a_library_finds_labels_before_families_and_keeps_what_it_read():
    library = Library({"amber varnish": Named("amber varnish", VARNISH)})
    card = library.card("amber varnish")
    assert library.card("amber varnish") is card
    assert library.card("varnish").label == "amber varnish"
    assert library.card("shellac").label is None
    assert library.card("White Spirit").family == "thinner-white-spirit"
    assert len(library.families()) >= 26
    assert {"varnish", "primer", "adhesive", "filler", "thinner"} <= set(library.kinds())


def test_a_library_says_which_product_it_does_not_know():
    library = Library({"amber varnish": Named("amber varnish", VARNISH)})
    with pytest.raises(Problem, match=r'no product "amber varnsh": did you mean "amber varnish"'):
        library.card("amber varnsh")


def test_a_name_that_two_labels_share_names_neither():
    both = {n: Named(n, {"also": ["the good stuff"], "family": "varnish-oil"}) for n in ("one", "two")}
    with pytest.raises(Problem, match="no product"):
        Library(both).card("the good stuff")


def test_a_label_of_the_journal_that_cannot_be_is_a_problem_with_its_name():
    library = Library({"odd": Named("odd", {"family": "varnish-oil", "film": "40 ml"})})
    with pytest.raises(Problem, match='label "odd" film'):
        library.card("odd")
