"""Dangers are found in any wording and told from talk of work; what is said begins with what is to be done.

The remedies are checked against ANSI/ISEA Z358.1 (memory: water at once, fifteen minutes), HSE RR79 (no solvent on the
skin), a national poisons centre's published first aid (no vomiting) and NFPA (oily rags).
"""

from __future__ import annotations

import pytest

from ask.lemmas import lemmas
from assistant.ask.aid import Aid, hazard
from assistant.library.families import family
from assistant.library.hazards import UNKNOWN, Grade, Step, Way, hazards

CORROSIVE = ("hardener", "peroxide", "remover")


def told(sentence: str, *families: str) -> Aid | None:
    return hazard(lemmas(sentence, hazards().known), *(family(name) for name in families))


@pytest.mark.parametrize(
    ("sentence", "danger", "substance"),
    [
        ("got resin on my wrist", "skin", "epoxy"),
        ("my hands are itching", "skin", UNKNOWN),
        ("and if it gets in my eye?", "eye", UNKNOWN),
        ("I swallowed some white spirit", "swallowed", "solvent"),
        ("got varnish on my hands", "skin", "solvent"),
        ("catalyst splashed in his eye", "eye", "peroxide"),
        ("a drop of hardener flew in my left eye", "eye", "hardener"),
        ("eyes are stinging from the paint stripper", "eye", "remover"),
        ("sawdust in my eye", "eye", "dust"),
        ("stripper ran down my arm and it burns", "skin", "remover"),
        ("I've spilt hardener all over my fingers", "skin", "hardener"),
        ("there's hardener on my leg", "skin", "hardener"),
        ("how do I get epoxy off my skin", "skin", "epoxy"),
        ("my fingers are stuck together with glue", "skin", "adhesive"),
        ("come up in a rash all up my arms", "skin", UNKNOWN),
        ("thinner splashed on my face", "skin", "solvent"),
        ("he drank some thinner by mistake", "swallowed", "solvent"),
        ("the dog licked the wet varnish", "swallowed", "solvent"),
        ("the kid has drunk from the meths bottle", "swallowed", "solvent"),
        ("got a mouthful of acetone in my mouth", "swallowed", "solvent"),
        ("feeling dizzy", "breathed", UNKNOWN),
        ("I've a headache from the fumes", "breathed", UNKNOWN),
        ("breathed in a lot of dust", "breathed", "dust"),
        ("the varnish smell is making me feel sick", "breathed", "solvent"),
        ("I can smell it through my mask", "breathed", UNKNOWN),
        ("my mate has collapsed in the cabin", "collapse", UNKNOWN),
        ("I nearly passed out down there", "collapse", UNKNOWN),
        ("I feel faint", "collapse", UNKNOWN),
        ("cut my thumb with the scraper", "cut", UNKNOWN),
        ("he's bleeding badly", "cut", UNKNOWN),
        ("I got resin in a cut on my hand", "cut", "epoxy"),
        ("varnish went up my nose", "skin", "solvent"),
        ("i accidentally drank from the wrong mug it had thinners in it", "swallowed", "solvent"),
        ("my throat is burning from the dust", "breathed", "dust"),
        ("my little girl has swallowed paint", "swallowed", "solvent"),
        ("wiped my face with a glove that had resin on it", "skin", "epoxy"),
        ("my eyes are watering", "eye", UNKNOWN),
        ("everything's spinning", "breathed", UNKNOWN),
        ("there's blood everywhere", "cut", UNKNOWN),
        ("the dog's been drinking out of the brush jar", "swallowed", UNKNOWN),
        ("I can't breathe", "collapse", UNKNOWN),
        ("hardener's leaked through my glove onto my fingers", "skin", "hardener"),
        ("our cat has walked through the wet varnish and is licking its paws", "swallowed", "solvent"),
        ("the baby put the brush in her mouth", "swallowed", UNKNOWN),
        ("feel a bit light headed", "breathed", UNKNOWN),
        ("chisel went into my palm", "cut", UNKNOWN),
        ("does catalyst burn skin", "skin", "peroxide"),
        ("hot resin dripped on my hand and burnt it", "skin", "epoxy"),
        ("my chest feels tight after the two pack", "breathed", UNKNOWN),
        ("sprayed foam all over my hair", "skin", "adhesive"),
        ("splinter in my finger", "cut", UNKNOWN),
    ],
)
def test_an_accident_is_found_whatever_the_words(sentence: str, danger: str, substance: str) -> None:
    aid = told(sentence)
    assert aid is not None
    assert (aid.danger, aid.substance, aid.grade) == (danger, substance, Grade.ACCIDENT)


@pytest.mark.parametrize(
    ("sentence", "danger", "grade"),
    [
        ("the cups getting hot is that bad", "hot-cup", Grade.ACCIDENT),
        ("the pot of resin has started smoking", "hot-cup", Grade.ACCIDENT),
        ("why is my epoxy getting so hot", "hot-cup", Grade.ACCIDENT),
        ("mixture's boiling", "hot-cup", Grade.ACCIDENT),
        ("the rags are smoking", "hot-rags", Grade.ACCIDENT),
        ("that pile of cloths feels warm", "hot-rags", Grade.ACCIDENT),
        ("the galley is on fire", "fire", Grade.ACCIDENT),
        ("something has caught fire, help", "fire", Grade.ACCIDENT),
        ("the carbon monoxide alarm is going off", "monoxide", Grade.ACCIDENT),
        ("can I wash my hands in white spirit", "wash-in-solvent", Grade.RISK),
        ("is it ok to clean my skin with acetone", "wash-in-solvent", Grade.RISK),
        ("light the stove to warm the galley", "flames", Grade.RISK),
        ("can I have a smoke down here", "flames", Grade.RISK),
        ("is it safe to run the heater with the varnish wet", "flames", Grade.RISK),
        ("can I leave the heater on while it's wet", "flames", Grade.RISK),
        ("would a candle be dangerous with all these fumes", "flames", Grade.RISK),
        ("where do I throw the oily rags", "rags", Grade.RISK),
        ("can cloths catch fire by themselves", "rags", Grade.RISK),
        ("is it safe to sleep aboard tonight", "sleeping", Grade.RISK),
        ("can we sleep in the cabin with that smell", "sleeping", Grade.RISK),
        ("can the kids come aboard", "children", Grade.RISK),
        ("is it bad for the dog to be in the cabin", "children", Grade.RISK),
        ("can I use a heat gun on the old paint", "heat-gun", Grade.RISK),
        ("white spirit spilled in the bilge", "spill", Grade.RISK),
        ("smoke coming off the cup", "hot-cup", Grade.ACCIDENT),
        ("should the resin be this hot", "hot-cup", Grade.ACCIDENT),
        ("there are flames coming from the rag bucket", "hot-rags", Grade.ACCIDENT),
        ("is it alright to have the wood burner going", "flames", Grade.RISK),
        ("can I weld next to the wet primer", "flames", Grade.RISK),
        ("is it safe for my wife who's pregnant", "children", Grade.RISK),
        ("can the catalyst go in with the accelerator", "peroxide-meets-accelerator", Grade.RISK),
    ],
)
def test_fire_heat_flames_and_people_aboard(sentence: str, danger: str, grade: Grade) -> None:
    aid = told(sentence)
    assert aid is not None
    assert (aid.danger, aid.grade) == (danger, grade)


@pytest.mark.parametrize(
    "sentence",
    [
        "got varnish on the door",
        "the heater is on",
        "put the heater on at six",
        "second coat on the hatch trim at ten past two",
        "got two coats of enamel on the table leg",
        "got primer on the face of the door",
        "sanded the shelf by hand with 240",
        "can I touch the varnish with my finger yet",
        "varnish doesn't come off on my finger any more",
        "put a hand on the bulkhead and it's still tacky",
        "got a finger mark in the varnish",
        "keep an eye on the undercoat",
        "fitted the screw eye to the hatch",
        "fisheyes in the varnish",
        "cut back the varnish with 320",
        "cutting in round the window with enamel",
        "got the filler in and cut back",
        "the knots are bleeding through the paint",
        "bare wood drank the first coat",
        "a lick of paint on the shelf",
        "stopping for a drink",
        "hand rail got its varnish at nine",
        "hand sanded the trim at four",
        "mixed a small cup of epoxy at noon",
        "what is the pot life when it's hot",
        "how warm should the resin be",
        "can I mix epoxy on a hot day",
        "faint scratches in the varnish",
        "wiped the panel with a tack rag",
        "wiped the door down with acetone on a cloth",
        "washed the brushes in white spirit",
        "burned through half a litre of thinner",
        "I sleep from eleven to seven",
        "what mask for the fumes",
        "do I need gloves for the hardener",
        "do I need eye protection for the catalyst",
        "the dust has settled in the saloon",
        "sand the arm of the chair tomorrow",
        "lead time on the varnish is a week",
        "blisters in the old paint on the hull",
        "the nose of the shelf got a second coat",
        "knees and lips primed",
        "paint is cracking on the sill",
        "bought a fire extinguisher",
        "varnished the fire surround",
        "filled the tank and fitted the burner",
        "first coat of enamel on the cooker surround",
        "left the door open to dry",
        "remind me to fit the smoke alarm",
        "the clamps are off the bunk front",
        "got a hand from a mate to hang the door",
        "got a second pair of hands tomorrow for the varnish",
        "third coat on the trim at ten past three, fingers crossed it doesn't rain",
        "wiped it over by hand with meths",
        "swallowed up a lot of filler that hole",
        "got varnish on the chest",
        "got undercoat on both legs of the table by noon",
        "the foot of the mast has two coats of enamel",
        "left hand door got its coat at nine",
        "got the varnish on in the heads",
        "it dripped on the floor under my feet",
        "dripped enamel on the sole",
        "second coat on the cat flap",
        "body filler on the hull",
        "cut the fillet back with a chisel",
        "mate gave me a hand with the enamel on the door",
        "baby blue enamel on the cupboard",
        "hand painted the name on the bow",
        "burned the tip off the soldering iron",
        "got a coat of red lead on the hull",
        "cut a new lid with my saw",
        "candle holder varnished at four",
        "fire bucket painted red",
        "pipe lagging fitted",
    ],
)
def test_talk_of_work_is_no_danger(sentence: str) -> None:
    assert told(sentence) is None


def test_telling_of_a_lit_stove_is_no_more_than_a_caution() -> None:
    """A risk leaves room for the entry that was told with it; an accident does not."""
    aid = told("lit the stove at six")
    assert aid is not None
    assert aid.grade is Grade.RISK


def test_every_substance_has_an_answer_in_every_way() -> None:
    table = hazards()
    names = [s.name for s in table.substances]
    assert len(names) >= 12
    for name in (*names, UNKNOWN):
        for way in Way:
            cell = table.cells[name, way]
            assert cell.text
            assert cell.source


@pytest.mark.parametrize("substance", CORROSIVE)
@pytest.mark.parametrize("way", [Way.EYE, Way.SKIN, Way.CUT])
def test_corrosives_want_plenty_of_water_at_once(substance: str, way: Way) -> None:
    """ANSI/ISEA Z358.1 (memory): flushing at once, at least fifteen minutes."""
    cell = hazards().cells[substance, way]
    first = cell.text.split(". ")[0]
    assert cell.first is Step.RINSE
    assert first.startswith("Rinse")
    assert "plenty of water at once" in first
    assert "15 minutes" in first
    assert "Z358.1" in cell.source


def test_whatever_is_swallowed_nobody_is_made_to_vomit() -> None:
    """National Poisons Centre (New Zealand): vomiting harms again, and light solvents get into the lungs."""
    for (_, way), cell in hazards().cells.items():
        if way is Way.SWALLOWED:
            assert cell.first is Step.MOUTH
            assert cell.text.startswith("Rinse the mouth")
            assert "vomit" in cell.text
            assert "poison centre" in cell.text or "112 or 999" in cell.text


def test_resin_on_the_skin_is_wiped_dry_and_never_met_with_solvent() -> None:
    """HSE RR79: epoxy sensitises, and solvent on the skin makes it worse."""
    text = hazards().cells["epoxy", Way.SKIN].text
    assert text.startswith("Wipe it off dry, then soap and plenty of water; never solvent")


def test_every_eye_is_rinsed_first() -> None:
    for (_, way), cell in hazards().cells.items():
        if way is Way.EYE:
            assert cell.text.startswith("Rinse the open eye with plenty of")


@pytest.mark.parametrize(
    ("product", "substance"),
    [
        ("topcoat-polyurethane-2k", "isocyanate"),
        ("epoxy-adhesive", "epoxy"),
        ("resin-polyester", "polyester"),
        ("remover-solvent", "remover"),
        ("adhesive-contact", "adhesive"),
        ("adhesive-polyurethane", "isocyanate"),
        ("varnish-water-borne", "water-borne"),
        ("varnish-polyurethane-1k", "solvent"),
        ("antifouling", "antifouling"),
        ("thinner-two-pack", "solvent"),
    ],
)
def test_the_material_decides_where_the_word_is_loose(product: str, substance: str) -> None:
    aid = told("got some of it in my eye", product)
    assert aid is not None
    assert aid.substance == substance


def test_a_part_of_the_material_outweighs_the_material() -> None:
    aid = told("hardener of the tread epoxy got in my eye", "epoxy-adhesive")
    assert aid is not None
    assert aid.substance == "hardener"


def test_water_on_the_hands_is_nothing() -> None:
    assert told("got water on my hands", "thinner-water") is None


def test_two_hurts_are_both_answered_the_graver_first() -> None:
    aid = told("hardener splashed in my eye and over my hands")
    assert aid is not None
    assert aid.text.startswith("Rinse the open eye")
    assert "get wet clothes off" in aid.text


def test_the_same_words_always_get_the_same_answer() -> None:
    words = lemmas("got catalyst on my skin", hazards().known)
    assert {hazard(words) for _ in range(20)} == {hazard(frozenset(sorted(words, reverse=True)))}


def test_no_words_are_no_danger() -> None:
    assert hazard(frozenset()) is None
