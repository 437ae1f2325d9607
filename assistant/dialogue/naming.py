"""Who is meant: pieces, spaces and products, from what was said and what was spoken of before.

A name with two owners is a question unless it was plural or one of them was just spoken of; a word
that nothing knows is a question too. Nothing is ever made up.
"""

from __future__ import annotations

from assistant.craft.wanted import wanted
from assistant.dialogue.talk import Back, Talk, Unclear
from assistant.dialogue.wording import listed
from assistant.journal.events import Coat
from assistant.language.lexicon import english, lexicon
from assistant.language.meaning import Meaning
from assistant.language.names import Name


def pieces(talk: Talk, m: Meaning, *, need: bool = True) -> list[str]:
    """Give the pieces a clause is about, in the order said; none only if ``need`` is false."""
    hinted = talk.hints.get("piece")
    out: list[str] = []
    sure = {n.options[0] for n in m.pieces if len(n.options) == 1}
    for name in m.pieces:
        if len(name.options) > 1 and not name.plural and sure & set(name.options):
            continue  # "the trim on the companionway": the other words said which
        out.extend(_these(talk, m, name, hinted))
    if out:
        return list(dict.fromkeys(out))
    if hinted:
        return list(hinted)
    if m.has("talk.other"):
        return _others(talk)
    if _strange(m) and need and m.mood == "ask":
        raise Unclear(f"I have no piece called {m.unknown}.")
    if _strange(m) and need and m.doubt < 0.5:
        raise Back(_no_such(talk, str(m.unknown)), "new_piece", [*talk.state.pieces], value=str(m.unknown))
    if talk.last_pieces and (m.has("talk.it") or m.inherited or talk.fresh or _pointed(m)):
        return talk.last_pieces if m.has("talk.both") or len(talk.last_pieces) < 4 else talk.last_pieces[:1]
    if len(talk.state.pieces) == 1:
        return list(talk.state.pieces)
    if not need:
        return []
    if not talk.state.pieces:
        raise Unclear('I know no pieces yet: load a job file, or say "new piece hatch trim"')
    raise Back("On which piece?", "piece", [*talk.state.pieces])


def _pointed(m: Meaning) -> bool:
    """Whether a pronoun stands inside a word of the trade: "rubbed it down"."""
    return bool({"it", "them"} & set(m.text.lower().split()))


def _these(talk: Talk, m: Meaning, name: Name, hinted: list[str] | None) -> list[str]:
    options = [p for p in name.options if p in talk.state.pieces] or list(name.options)
    if len(options) == 1:
        return options
    if hinted and set(hinted) <= set(options):
        return list(hinted)
    if m.has("talk.other"):
        rest = [p for p in options if p not in talk.last_pieces]
        if len(rest) == 1:
            return rest
        options = rest or options
    elif name.plural or m.has("talk.both"):
        return options
    else:
        recent = [p for p in talk.last_pieces if p in options]
        if len(recent) == 1 and talk.fresh:
            return recent
    raise Back(f"Which one: {listed(options, 'or')}?", "piece", options)


def _others(talk: Talk) -> list[str]:
    # "the other one": what shares its last word with the piece last spoken of
    for last in talk.last_pieces:
        head = last.split()[-1]
        rest = [p for p in talk.state.pieces if p not in talk.last_pieces and p.split()[-1] == head]
        if len(rest) == 1:
            return rest
        if rest:
            raise Back(f"Which one: {listed(rest, 'or')}?", "piece", rest)
    raise Back("Which other one?", "piece", [*talk.state.pieces])


def _strange(m: Meaning) -> bool:
    """Whether the words left over look like a name that the job does not have."""
    placed = m.before_unknown in ("on", "to", "the", "of", "for", "a", "my", "in", "onto", "with", "and")
    return bool(m.unknown) and (placed or m.unexplained <= 2)


def _no_such(talk: Talk, word: str) -> str:
    from rapidfuzz import process

    near = [n for n, score, _ in process.extract(word, [*talk.state.pieces], limit=2) if score >= 70]
    if near:
        return f"I have no piece called {word}. Do you mean the {listed(near, 'or')}? Or say yes to add it."
    return f"I have no piece called {word}. Say yes to add it, or name the piece."


def space(talk: Talk, m: Meaning) -> str | None:
    """Give the space a clause is about, or None if it named none."""
    for name in m.spaces:
        if len(name.options) == 1:
            return name.options[0]
        hinted = talk.hints.get("space")
        if hinted:
            return str(hinted[0])
        raise Back(f"Which space: {listed(name.options, 'or')}?", "space", name.options)
    if talk.hints.get("space"):
        return str(talk.hints["space"][0])
    if m.unknown and m.before_unknown in ("in", "inside", "into") and m.unknown not in lexicon().known:
        known = listed(talk.state.spaces, "or")
        raise Back(
            f"I have no space called {m.unknown}" + (f": say {known}." if known else "."),
            "space",
            [*talk.state.spaces],
        )
    return None


#: What a verb such as "primed" says of the material.
_VERB_KINDS = {
    "varnish": ("varnish",), "paint": ("topcoat",), "primer": ("primer",), "undercoat": ("undercoat",),
    "sealer": ("sealer",), "oil": ("oil",), "shellac": ("varnish",), "epoxy": ("epoxy",),
    "antifouling": ("antifouling",),
}  # fmt: skip


def product(talk: Talk, m: Meaning, *, ask: bool = True, also_verb: bool = True) -> str | None:
    """Give the product a clause names, by noun or by verb; None if it names none."""
    hinted = talk.hints.get("product")
    for name in m.products:
        options = list(name.options)
        if len(options) == 1:
            return options[0]
        if hinted and hinted[0] in options:
            return str(hinted[0])
        if not ask:
            return None
        raise Back(f"Which one: {listed(options, 'or')}?", "product", options)
    if hinted:
        return str(hinted[0])
    if not also_verb:
        return None
    for kind in m.values.get("act.coat", []):
        if kind in _VERB_KINDS:
            labels = talk.labels_of(_VERB_KINDS[kind]) or talk.labels_like(kind)
            if len(labels) == 1:
                return labels[0]
            if not labels:
                return {"paint": "paint"}.get(kind, kind)
            return _of_kind(talk, m, labels, ask=ask)
    return None


def _of_kind(talk: Talk, m: Meaning, labels: list[str], *, ask: bool) -> str | None:
    """Choose among a kind's labels by what is planned for the piece or already on it."""
    for piece in pieces(talk, m, need=False):
        for known in (usual_product(talk, piece), last_product(talk, piece)):
            if known in labels:
                return known
    if not ask:
        return None
    raise Back(f"Which one: {listed(labels, 'or')}?", "product", labels)


def last_product(talk: Talk, piece: str) -> str | None:
    """Give what the last coat on a piece was of."""
    coats = [e for e in talk.state.work.get(piece, ()) if isinstance(e, Coat)]
    return coats[-1].product if coats else None


def narrowed(talk: Talk, said: str | None, piece: str) -> str | None:
    """Give what "varnish" means on a piece that has a varnish on it already, where no label has the word."""
    last = last_product(talk, piece)
    if said is None or last is None or talk.card(said) is not None:
        return said
    card = talk.card(last)
    return last if card is not None and said in card.kind else said


def usual_product(talk: Talk, piece: str) -> str | None:
    """Give what is planned for a piece: the first of its tasks whose coats are not all on."""
    coats = {line.name: line for line in wanted(talk.state) if line.piece == piece}
    for name, plan in talk.state.plans.items():
        label = plan.values.get("label")
        if plan.values.get("piece") != piece or not label:
            continue
        line = coats.pop(name, None)
        if line is None and plan.values.get("coats"):
            continue  # dropped, or told with the first of its label
        label, many = (line.label, line.coats) if line else (str(label), 1)
        if talk.state.coats.get(piece, {}).get(label, 0) < many:
            return label
    said = (c for c in coats.values() if talk.state.coats.get(piece, {}).get(c.label, 0) < c.coats)
    return next((c.label for c in said), None)


def strange_product(m: Meaning) -> str | None:
    """Give the word that stands where a product would and that nothing knows, or None."""
    placed = m.before_unknown in ("of", "with", "some") or (m.before_unknown == "coat" and m.pieces)
    if m.unknown and placed and m.unknown not in lexicon().known:
        if m.unknown in english() and m.before_unknown == "with":
            return None
        return m.unknown
    return None
