"""What may go over what: the cards' own word first, then the trade's general rules."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from assistant.library.cards import Card

#: Generic types that a strong solvent may lift.
_SOFT: Final = frozenset({"oil", "alkyd", "polyurethane-1k", "shellac", "bitumen"})
_TWO_PACK: Final = frozenset({"polyurethane-2k", "epoxy", "polyester"})
_ON_BARE: Final = frozenset(
    {"varnish", "sealer", "primer", "epoxy", "resin", "oil", "filler", "putty", "adhesive", "stain"}
)
_BARE: Final = frozenset({"bare wood", "bare metal"})
#: What counts as one generic type; solvents, stains and sealers are not types of film.
_TYPES: Final = _SOFT | _TWO_PACK | {"water-borne"}


@dataclass(frozen=True, slots=True)
class Verdict:
    """``verdict`` is ``yes``, ``no``, ``test`` (a patch first, watched for days) or ``keyed``."""

    verdict: str
    why: str
    basis: str


def may(over: Card, under: Card | str) -> Verdict:
    """Judge ``over`` laid on ``under``: a card, a generic type, a kind, "bare wood" or "bare metal"."""
    names = _names(under)
    for name in names:
        said = next((entry for entry in over.over if entry.kind == name), None)
        if said is not None:
            return Verdict(said.verdict, said.why, said.basis)
    return _general(over, set(names))


def _general(over: Card, under: set[str]) -> Verdict:
    if under & _BARE:
        if over.kind in _ON_BARE:
            return Verdict("yes", "it may go on bare", "common practice, no source")
        return Verdict("no", "prime or seal it first", "MIL-HDBK-1110 section 6.3.1")
    if over.family in under:
        return Verdict("yes", "the same material", "MIL-HDBK-1110 sections 2.4, 4.2.4")
    if over.generic == "polyester" and "epoxy" in under:
        why = "polyester over epoxy only when fully cured, washed and keyed with 80 grit"
        return Verdict("keyed", why, "common practice, no source")
    if over.generic == "epoxy" and "polyester" in under:
        return Verdict("yes", "epoxy over polyester is fine", "common practice, no source")
    if over.generic in _TWO_PACK and under & _SOFT:
        why = "rub the old coat with solvent: if it picks up, no two-pack over it"
        return Verdict("test", why, "MIL-HDBK-1110 section 2.4")
    if over.generic in _TYPES and over.generic in under:
        return Verdict("yes", "the same generic type", "MIL-HDBK-1110 sections 2.4, 4.2.4")
    why = "not the same type: do a test patch and watch it for days"
    return Verdict("test", why, "MIL-HDBK-1110 section 4.2.4")


def _names(material: Card | str) -> tuple[str, ...]:
    """Give what a material goes by, the most particular first: the first that a card speaks of counts."""
    if isinstance(material, str):
        name = material.casefold()
        return ("bare wood",) if name in ("bare", "wood") else (name,)
    return material.family, material.generic, material.kind
