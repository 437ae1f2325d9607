"""Who is meant: groups become pieces, names become products and spaces. Nothing is ever made up.

A name with two owners is a question unless it was plural or one of them was just spoken of; a word that nothing
knows is a question too, and what it is settled as is a word of this person's from then on.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Final

from assistant.craft.times import like
from assistant.dialogue.context import Slot
from assistant.dialogue.scene import Scene
from assistant.dialogue.talk import Back, Unclear
from assistant.journal.events import Coat, Event, Set
from assistant.language.meanings import Group, Pronoun, Quantifier
from assistant.language.names import Name, plural, singular
from assistant.wording import listed

#: More pieces than these of one deed are not taken up again by a deed that names none.
_MANY: Final = 3
#: Said of a question whose options a plain "yes" takes, all of them.
ALL: Final = "all"
#: Whether a piece has had already what is being told of it.
Had = Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Settled:
    """The pieces a group means, in the order said, and the part of each."""

    pieces: tuple[str, ...]
    part: str | None = None


def pieces(scene: Scene, group: Group | None, *, had: Had | None = None, need: bool = True) -> Settled:
    """Give the pieces that ``group`` means; none only if ``need`` is false.

    ``had`` tells which pieces have had the deed already: "the rest" are the others. ``Back`` where two fit a
    singular name or nothing is known by it, ``Unclear`` where nothing is left.
    """
    group = group or Group()
    found = _included(scene, group, had, need)
    if group.besides is not None:
        left_out = _left_out(scene, group.besides, found)
        found = tuple(p for p in found if p not in left_out)
        if not found:
            raise Unclear(f"Without {the(left_out)} there is nothing left: say which.")
    if need and not found:
        raise Back("On which piece?", Slot.PIECE, [*scene.state.pieces])
    return Settled(tuple(dict.fromkeys(found)), group.part)


def _left_out(scene: Scene, besides: Group, found: tuple[str, ...]) -> tuple[str, ...]:
    """Give what is left out of ``found``: of two doors it is the one among them."""
    named = {o for n in besides.names for o in n.options}
    among = tuple(p for p in found if p in named)
    if among and all(any(o in among for o in n.options) for n in besides.names) and besides.quantifier is None:
        return among
    if among and all(any(o in among for o in n.options) or not n.whole for n in besides.names):
        return tuple(o for n in besides.names for o in n.options)  # "bar the table": its top and its leaf
    return pieces(scene, besides).pieces


def worked(scene: Scene, group: Group | None, *, had: Had | None = None, need: bool = True) -> Settled:
    """Give the pieces that work was or is to be done to, as :func:`pieces`; "any" of them names none, so it asks."""
    if group is not None and group.quantifier is Quantifier.ANY:
        raise Back("On which piece?", Slot.PIECE, [*scene.state.pieces])
    return pieces(scene, group, had=had, need=need)


def the(names: Iterable[str], last: str = "and") -> str:
    """Give ``the hatch trim and the bulkhead``."""
    return listed((f"the {n}" for n in names), last)


def head(piece: str) -> str:
    """Give the noun a piece's name ends in, in the singular: what it shares with others of its kind."""
    return singular(piece.rsplit(maxsplit=1)[-1])


def _included(scene: Scene, group: Group, had: Had | None, need: bool) -> tuple[str, ...]:
    hints = scene.hints.pieces
    if group.unknown and not group.names:
        return _unknown(scene, group.unknown)
    quantifier = group.quantifier
    if quantifier is Quantifier.REST:
        return _rest(scene, group, had)
    if quantifier is Quantifier.OTHER:
        return _other(scene, group)
    if group.names:
        out = [p for name in group.names for p in _named(scene, name, group)]
        return _counted(scene, tuple(dict.fromkeys(out)), group)
    if group.pronoun is not None:
        return _counted(scene, _spoken_of(scene, group), group)
    if group.spaces:
        inside = _inside(scene, group)
        if quantifier is None and group.count is None:
            return _whole_space(scene, inside, group)
        return _counted(scene, inside, group)
    if quantifier in (Quantifier.ALL, Quantifier.ANY, Quantifier.NONE):
        return tuple(scene.state.pieces)
    if quantifier in (Quantifier.BOTH, Quantifier.EACH) or group.count is not None:
        return _counted(scene, _recent(scene), group)
    if hints:
        return hints
    return _unsaid(scene, need)


# -- names ------------------------------------------------------------------------------------


def _named(scene: Scene, name: Name, group: Group) -> tuple[str, ...]:
    options = tuple(p for p in name.options if p in scene.state.pieces)
    if not options:
        return _unknown(scene, name.options[0] if name.options else group.words)
    spaces = _spaces(scene, group.spaces)
    if spaces:
        inside = tuple(p for p in options if scene.state.space_of(p) in spaces)
        if not inside:
            raise Unclear(f"{_capital(the(options, 'or'))} is not in {the(spaces)}: say which.")
        options = inside
    if len(options) == 1 or name.plural or _takes_all(group, len(options)):
        return options
    if hinted := _hinted(scene, options):
        return hinted
    recent = [p for p in scene.last_pieces if p in options]
    if len(recent) == 1 and scene.fresh:
        return (recent[0],)
    near = _close_by(scene, options)
    if near is not None:
        return (near,)
    raise Back(f"Which one: {listed(options, 'or')}?", Slot.PIECE, options)


def _close_by(scene: Scene, options: Sequence[str]) -> str | None:
    """Give the one of ``options`` in the space where all that was last spoken of is; None if that tells none."""
    homes = {scene.state.space_of(p) for p in scene.last_pieces} - {None}
    if len(homes) != 1 or not scene.fresh:
        return None
    here = [p for p in options if scene.state.space_of(p) in homes]
    return here[0] if len(here) == 1 else None


def _hinted(scene: Scene, options: Sequence[str]) -> tuple[str, ...]:
    """Give those of ``options`` that were answered."""
    return tuple(p for p in scene.hints.pieces if p in options)


def _takes_all(group: Group, many: int) -> bool:
    if group.count is not None and len(group.names) == 1:
        return True  # counted afterwards
    return len(group.names) == 1 and (
        group.quantifier in (Quantifier.ALL, Quantifier.EACH, Quantifier.ANY, Quantifier.NONE)
        or (group.quantifier is Quantifier.BOTH and many == 2)
    )


def _counted(scene: Scene, found: tuple[str, ...], group: Group) -> tuple[str, ...]:
    """Hold a set to the number that was said of it: "both", "the three doors"."""
    many = group.count if group.count is not None else 2 if group.quantifier is Quantifier.BOTH else None
    if many is None:
        return found
    hinted = _hinted(scene, found) if found else scene.hints.pieces
    if len(hinted) == many:
        return hinted
    if len(found) == many:
        return found
    if not group.names and len(found) < many and scene.fresh:
        one_by_one = tuple(p for p in scene.context.spoken if p in scene.state.pieces)[-many:]
        if len(one_by_one) == many and set(found) <= set(one_by_one):
            return one_by_one  # "the leaf's done", "and the frame", "wiped them both down"
    if many == 1 and found:
        raise Back(f"Which one: {listed(found, 'or')}?", Slot.PIECE, found)
    said = "both" if many == 2 else f"{many} of them"
    if not found:
        raise Back(f"Which {many}?", Slot.PIECE, [*scene.state.pieces])
    raise Back(f"{_capital(said)}? I know {the(found)}: name them.", Slot.PIECE, found)


def _spaces(scene: Scene, names: Sequence[Name]) -> tuple[str, ...]:
    return tuple(s for name in names if (s := space(scene, (name,))) is not None)


def _inside(scene: Scene, group: Group) -> tuple[str, ...]:
    spaces = _spaces(scene, group.spaces)
    inside = tuple(p for p in scene.state.pieces if scene.state.space_of(p) in spaces)
    if not inside:
        raise Unclear(f"I know no piece in {the(spaces)}.")
    return inside


def _whole_space(scene: Scene, inside: tuple[str, ...], group: Group) -> tuple[str, ...]:
    """Ask before a space named alone is taken for each piece in it."""
    if hinted := _hinted(scene, inside):
        return hinted
    if len(inside) == 1:
        return inside
    spaces = _spaces(scene, group.spaces)
    raise Back(f"In {the(spaces)} there are {the(inside)}: all of them, or which?", Slot.PIECE, inside, value=ALL)


# -- what was spoken of -----------------------------------------------------------------------


def _spoken_of(scene: Scene, group: Group) -> tuple[str, ...]:
    """Give what "it" or "them" means: asked about when it is long past, or "it" would be several."""
    hints, last = scene.hints.pieces, scene.last_pieces
    if group.spaces:
        spaces = _spaces(scene, group.spaces)
        last = tuple(p for p in last if scene.state.space_of(p) in spaces)
    if hints:
        return hints
    if not last:
        raise Back("On which piece?", Slot.PIECE, [*scene.state.pieces])
    if not scene.fresh:
        raise Back(f"Do you mean {the(last)}?", Slot.PIECE, last, value=ALL)
    many = group.quantifier is not None or group.count is not None
    if group.pronoun is Pronoun.IT and len(last) > 1 and not many:
        if scene.said:
            return last  # "sanded the doors and wiped it all down": one breath
        raise Back(f"{_capital(the(last))}: all of them, or which?", Slot.PIECE, last, value=ALL)
    return last


def _unsaid(scene: Scene, need: bool) -> tuple[str, ...]:
    last = scene.last_pieces
    if last and scene.fresh and (scene.said or len(last) <= _MANY):
        return last
    if len(scene.state.pieces) == 1:
        return tuple(scene.state.pieces)
    if not need:
        return ()
    if not scene.state.pieces:
        raise Unclear('I know no pieces yet: load a job file, or say "new piece hatch trim"')
    raise Back("On which piece?", Slot.PIECE, [*scene.state.pieces])


def _recent(scene: Scene) -> tuple[str, ...]:
    """Give the pieces last spoken of, none if that is long past."""
    return scene.last_pieces if scene.fresh else ()


def _universe(scene: Scene, group: Group) -> tuple[str, ...]:
    """Give everything that "the other" or "the rest" is taken from: as named, or of the kind last spoken of."""
    if group.names:
        spaces = _spaces(scene, group.spaces)
        named = (p for n in group.names for p in n.options if p in scene.state.pieces)
        return tuple(dict.fromkeys(p for p in named if not spaces or scene.state.space_of(p) in spaces))
    if group.spaces:
        return _inside(scene, group)
    heads = {head(p) for p in _recent(scene)}
    return tuple(p for p in scene.state.pieces if head(p) in heads)


def _other(scene: Scene, group: Group) -> tuple[str, ...]:
    if scene.hints.pieces:
        return scene.hints.pieces
    rest = tuple(p for p in _universe(scene, group) if p not in _recent(scene))
    many = group.count or 1
    plural_ = any(n.plural for n in group.names) and group.count is None
    if rest and (len(rest) == many or plural_):
        return rest
    if rest:
        raise Back(f"Which {'one' if many == 1 else many}: {listed(rest, 'or')}?", Slot.PIECE, rest)
    raise Back("Which other one?", Slot.PIECE, [*scene.state.pieces])


def _rest(scene: Scene, group: Group, had: Had | None) -> tuple[str, ...]:
    """Give those of a kind or a space that were not just named and have not had it today."""
    done = set(_recent(scene)) | set(scene.named)
    ways = [_universe(scene, group)]
    if not group.names and not group.spaces:
        homes = {scene.state.space_of(p) for p in _recent(scene)} - {None}
        ways.append(tuple(p for p in scene.state.pieces if scene.state.space_of(p) in homes))
    left = [tuple(p for p in way if p not in done and not (had and had(p))) for way in ways]
    different = [r for r in dict.fromkeys(left) if r]
    if scene.hints.pieces:
        return scene.hints.pieces
    if len(different) == 1:
        return _counted(scene, different[0], replace(group, quantifier=None))
    if different:
        kinds = listed(dict.fromkeys(plural(head(p)) for p in scene.last_pieces))
        options = dict.fromkeys(p for r in different for p in r)
        homes_ = the(dict.fromkeys(h for p in scene.last_pieces if (h := scene.state.space_of(p))))
        raise Back(f"The rest of the {kinds}, or of {homes_}: {listed(options, 'or')}?", Slot.PIECE, [*options])
    raise Back("The rest of what? Name them.", Slot.PIECE, [*scene.state.pieces])


# -- words nobody knows yet -------------------------------------------------------------------


def _unknown(scene: Scene, word: str) -> tuple[str, ...]:
    """Give what a word was settled as: in this talk, or before and kept; else ask."""
    known = learnt(scene, word)
    if known:
        return known
    hints = scene.hints
    if hints.pieces and hints.word in (None, word):
        fresh = [p for p in hints.pieces if p not in scene.state.pieces]
        for piece in fresh:
            make_known(scene, "piece", piece, {})
        if len(hints.pieces) == 1 and word.casefold() != hints.pieces[0].casefold():
            make_known(scene, "word", word, {"means": hints.pieces[0], "of": "piece"})
        return hints.pieces
    if scene.last_pieces and word in {w for p in scene.last_pieces for w in p.split()}:
        return scene.last_pieces
    raise Back(_no_such(scene, word), Slot.NEW_PIECE, _near(scene, word) or [*scene.state.pieces], value=word)


def make_known(scene: Scene, what: str, name: str, values: dict[str, Any]) -> None:
    """Make a piece or a word known, once in a phrase; it is logged with what hung on it."""
    if any(isinstance(e, Set) and e.name == name for e in scene.made):
        return
    event: Event = Set(what=what, name=name, values=values, at=scene.now, said_at=scene.now)
    scene.made.append(event)
    scene.happened([event])


def learnt(scene: Scene, word: str) -> tuple[str, ...]:
    """Give the piece a word of this person's own means, or none if it was never settled."""
    known = scene.state.words.get(word) or scene.state.words.get(word.casefold())
    return (known.means,) if known is not None and known.of == "piece" and known.means in scene.state.pieces else ()


def _near(scene: Scene, word: str) -> list[str]:
    from rapidfuzz import process

    return [n for n, score, _ in process.extract(word, [*scene.state.pieces], limit=2) if score >= 70]


def _no_such(scene: Scene, word: str) -> str:
    near = _near(scene, word)
    if near:
        return f"I have no piece called {word}. Do you mean {the(near, 'or')}? Or say yes to add it."
    return f"I have no piece called {word}. Say yes to add it, or name the piece."


# -- spaces ------------------------------------------------------------------------------------


def space(scene: Scene, names: Sequence[Name]) -> str | None:
    """Give the space that was named, or None if none was; ``Back`` if two fit."""
    for name in names:
        if len(name.options) == 1:
            return name.options[0]
        if scene.hints.space in name.options:
            return scene.hints.space
        raise Back(f"Which space: {listed(name.options, 'or')}?", Slot.SPACE, name.options)
    return scene.hints.space


def had_today(scene: Scene, kind: str, coat: int | None = None) -> Had:
    """Give a test whether a piece has had work of a journal kind today (a coat: of that number, whenever)."""

    def had(piece: str) -> bool:
        for e in scene.state.work.get(piece, ()):
            if e.kind != kind:
                continue
            if coat is not None and isinstance(e, Coat):
                if e.coat == coat:
                    return True
            elif like(e.at, scene.now).date() == scene.now.date():
                return True
        return False

    return had


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
