"""The one reader: a phrase in, its typed meanings out, whether it was typed, heard or is to be explained."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from assistant.language import sentences
from assistant.language.apostrophes import with_apostrophes
from assistant.language.changes import changes
from assistant.language.building import Slots, built, leftovers
from assistant.language.chunks import Cat, Phrase, chunked, cut
from assistant.language.groups import Head
from assistant.language.items import Kind
from assistant.language.lists import list_talk
from assistant.language.meanings import (
    Act,
    Answer,
    Correction,
    Deed,
    Errand,
    Force,
    Meaning,
    Note,
    Question,
    Reading,
    Remark,
    Same,
    Spell,
    TinFact,
    Undo,
    Unread,
)
from assistant.language.names import Gazetteer, Name
from assistant.language.order import dangling
from assistant.language.questions import SUBJECTS, requested
from assistant.language.sentences import Sentence
from assistant.language.slips import denies_a_thing, mended
from assistant.language.tokens import Token
from assistant.language.when import When
from assistant.quantity import Amount

_YES: Final = frozenset(["yes", "yeah", "yep", "yup", "aye", "correct", "right", "sure", "ok", "okay", "affirmative", "definitely", "indeed"])
_NO: Final = frozenset(["no", "nope", "nah", "nay", "negative", "neither"])
_SAME: Final = frozenset(["same", "ditto", "likewise"])
_NOTING: Final = frozenset(["note", "memo"])


class Reader:
    """Reads phrases of one job; made anew when its names change."""

    def __init__(self, names: Gazetteer, *, us: bool = False) -> None:
        self.names, self.us = names, us

    def read(self, text: str) -> Reading:
        """Read a phrase. It always gives at least one meaning, if only :class:`Unread`."""
        phrase = cut(text, self.names, us=self.us)
        if not any(k != "mark" for k in phrase.kinds):
            return Reading(text, (Remark(words=""),))
        noted = _noted(phrase)
        if noted is not None:
            return Reading(text, (noted,))
        listed = list_talk(phrase)
        if listed is not None:
            return Reading(text, tuple(changes(phrase)) or (listed,), named=True)
        toks = mended(phrase)
        if toks is not None:
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        toks = with_apostrophes(phrase)
        if len(toks) > len(phrase):
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        toks = _plain(phrase)
        if len(toks) < len(phrase):
            phrase = chunked(phrase.text, toks, self.names, us=self.us)
        asked_to = _request(phrase)
        if asked_to:
            phrase = chunked(phrase.text, phrase.tokens[asked_to:], self.names, us=self.us)
        planned = changes(phrase)
        if planned:
            return Reading(text, tuple(planned), named=True)
        lead = _taking_back(phrase)
        if lead:
            phrase = chunked(phrase.text, phrase.tokens[lead:], self.names, us=self.us)
        if _tag_question(phrase, _UNSURE):
            return Reading(text, (Question(words=text),), named=True)
        tail = _tag_question(phrase, _AGREED)
        if tail:
            phrase = chunked(phrase.text, phrase.tokens[:tail], self.names, us=self.us)
        found, cost = sentences.read(phrase)
        meanings = _meanings(phrase, found, taking_back=bool(lead))
        if not any(c.cat in (Cat.NAME, Cat.MEASURE, Cat.TIME) and c.doubt < 0.4 for cs in phrase.chunks for c in cs):
            meanings = [Remark(words=text) if isinstance(m, Unread) else m for m in meanings]
        named = any(c.cat in (Cat.NAME, Cat.MEASURE) and c.doubt < 0.4 for cs in phrase.chunks for c in cs)
        explanation = tuple(_explained(phrase, found))
        return Reading(text, tuple(meanings) or (Unread(words=text),), cost, named, (), explanation)


#: What no comma follows but round a pause.
_OPEN: Final = frozenset(["the", "a", "an", "of", "on", "at", "with", "to", "in", "my"])
_PAUSES: Final = frozenset(["um", "umm", "er", "err", "erm", "erh", "uh", "uhm", "ah", "hmm"])


def _plain(phrase: Phrase) -> list[Token]:
    """Give the words without pauses and without what was said twice in a row."""
    toks = phrase.tokens
    toks = [
        t for k, t in enumerate(toks)
        if not (t.text == "," and 0 < k < len(toks) - 1 and toks[k + 1].text in _PAUSES and toks[k - 1].text in _OPEN)
        and not (t.text == "," and k > 1 and toks[k - 1].text in _PAUSES)
    ]  # "on the, um, board"
    return [
        t for k, t in enumerate(toks)
        if t.text not in _PAUSES and not (k and t.kind == "word" and t.text == toks[k - 1].text and t.text not in ("that", "had", "ten"))
    ]  # fmt: skip


def _noted(phrase: Phrase) -> Note | None:
    """Take "note ..." as it stands."""
    k = 0
    while k < len(phrase) and (
        phrase.kinds[k] == "mark" or phrase.function(k, "interjection", "politeness", "discourse")
    ):
        k += 1
    if phrase.at(k) in ("make", "take", "add", "write", "leave") and phrase.at(k + 1) == "a":
        k += 2
    if phrase.at(k) in ("write", "jot", "mark") and "down" in phrase.words[k + 1 : k + 4]:
        k = phrase.words.index("down", k)
    elif phrase.at(k) not in _NOTING and not (phrase.at(k) == "quick" and phrase.at(k + 1) in _NOTING):
        return None
    k += 1 + (phrase.at(k) == "quick")
    while phrase.at(k) in ("to", "self", "that", ":", ",", "me"):
        k += 1
    text = phrase.text[phrase.tokens[k].start :].strip() if k < len(phrase) else ""
    return Note(text=text, words=phrase.text) if text else None


def _meanings(phrase: Phrase, found: list[Sentence], *, taking_back: bool) -> list[Meaning]:
    if not found:
        return []
    reminder = _reminder(phrase, found)
    if reminder is not None:
        return [reminder]
    short = _answer(phrase, found)
    taking_back = taking_back or (phrase.at(0) == "not" and len(found) == 1)
    if taking_back and (fixed := _fix(phrase, found)) is not None:
        return [fixed]
    if _SAME & set(phrase.words) and (again := _same(phrase, found)) is not None:
        return [again]
    same_too = _done_too(phrase, found)
    if same_too is not None and (found[0].clause.frame.name == "done" or (same_too.words != "" and _too(phrase, found))):
        return [same_too]
    if short is not None and not (same_too is not None and found[0].clause.frame.name == "done"):
        return [short]
    same = _same(phrase, found) or _done_too(phrase, found)
    if same is not None:
        return [same]
    found = _asked_whole(found)
    out = _manner_dropped(_each_its_own(_contrasted([built(phrase, s) for s in found])))
    loose = next((w for s in found if s.force is not Force.ASKED and (w := dangling(phrase, s.clause))), None)
    if loose is not None and any(not isinstance(m, Remark | Question) for m in out):
        asked: list[Meaning] = [m for m in out if isinstance(m, Question)]
        return asked or [Unread(words=phrase.said(0, len(phrase)), missing=f"{loose}")]
    kept = [m for m in out if not isinstance(m, Remark) or m.force is not Force.REMARKED]
    out = kept or out
    fragments = [s for s in found if s.clause.frame.name == "fragment" and s.force is not Force.ASKED]
    out = _listed(out)
    if fragments and not any(isinstance(m, Question) for m in out):
        rest = [
            m
            for s, m in zip(found, [built(phrase, s) for s in found], strict=True)
            if s not in fragments and not isinstance(m, Remark)
        ]
        told = [s for s in fragments if any(p.slot for p in s.clause.parts if p.slot != "subordinator")]
        if told and not [m for m in rest if m.force is not Force.DENIED]:
            return [Unread(words=phrase.said(0, len(phrase)), missing=_missing(told))]
        if told:
            said = phrase.said(told[0].clause.i, told[0].clause.j)
            first = rest[0]
            if isinstance(first, Deed) and first.force is Force.DONE:
                rest[0] = replace(first, held=first.held or said)
            return rest
    if all(isinstance(m, Remark) for m in out) and _unread(phrase, found):
        return [Unread(words=phrase.said(0, len(phrase)), missing=_what(phrase, found))]
    return _shared_times(out)


def _listed(meanings: list[Meaning]) -> list[Meaning]:
    """Let "put that on the list", "cross that off" and "had to bin it" work on what was told before them."""
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        if isinstance(m, Errand) and m.force is Force.DONE and not m.text and isinstance(before, Note):
            out[-1] = Errand(text=before.text, words=before.words)
        elif (
            isinstance(m, TinFact)
            and isinstance(before, TinFact)
            and m.change in ("spoiled", "empty")
            and not m.products
            and not m.unknown
        ):
            out[-1] = before if before.change == m.change else replace(before, change=m.change)
        elif (
            isinstance(m, Spell)
            and isinstance(before, Spell)
            and before.heating
            and before.temperature is None
            and before.humidity is None
        ):
            out[-1] = replace(m, heating=before.heating)  # "stove's lit, saloon's up to twenty two"
        elif isinstance(m, Errand) and m.force is Force.ORDERED and not m.text:
            if not isinstance(before, Deed | Note):
                continue
            out[-1] = (
                replace(before, force=Force.ORDERED) if isinstance(before, Deed)
                else Errand(text=before.text, force=Force.ORDERED, words=before.words)
            )  # fmt: skip
        else:
            out.append(m)
    return out


def _each_its_own(meanings: list[Meaning]) -> list[Meaning]:
    """Let what is said of single pieces stand for what was said of them together: "both primed, port at one, ..."."""
    out: list[Meaning] = []
    n = 0
    while n < len(meanings):
        host = meanings[n]
        k = n + 1
        own: list[Deed] = []
        while k < len(meanings) and isinstance(m := meanings[k], Deed) and m.gapped:
            own.append(m)
            k += 1
        if not (isinstance(host, Deed) and own and host.pieces and host.pieces.names):
            out.append(host)
            n += 1
            continue
        held = {o for name in host.pieces.names for o in name.options}
        mine = [{o for name in m.pieces.names for o in name.options} if m.pieces else set() for m in own]
        if not all(m and m <= held for m in mine) or (len(host.pieces.names) == 1 and len(held) == 1):
            out.append(host)
            n += 1
            continue
        covered = set().union(*mine)
        rest = tuple(name for name in host.pieces.names if not set(name.options) <= covered)
        if rest:
            out.append(replace(host, pieces=replace(host.pieces, names=rest)))
        out += [
            replace(
                host,
                pieces=m.pieces,
                when=m.when or host.when,
                coat=m.coat or host.coat,
                grit=m.grit or host.grit,
                products=m.products or host.products,
                thinned=m.thinned or host.thinned,
                words=f"{host.words} {m.words}",
                held=m.held or host.held,
            )
            for m in own
        ]
        n = k
    return out


def _manner_dropped(meanings: list[Meaning]) -> list[Meaning]:
    """Drop a second coat that has nothing of its own ("..., rolled and tipped"): it says how the first was laid.

    And let "..., scratch it" take back the entry that was named before it.
    """
    out: list[Meaning] = []
    for m in meanings:
        before = out[-1] if out else None
        bare = isinstance(m, Deed) and m.act is Act.COAT and not (m.pieces or m.products or m.coat or m.another or m.when or m.count or m.kind)
        if bare and isinstance(before, Deed) and before.act is Act.COAT and m.force is before.force:
            continue
        if isinstance(m, Undo) and m.target is None and isinstance(before, Deed) and before.force is Force.DONE and not before.verb:
            out[-1] = replace(m, target=before)
            continue
        out.append(m)
    return out


def _contrasted(meanings: list[Meaning]) -> list[Meaning]:
    """Put "it wasn't undercoat, it was primer" together: what it was not, and what it was."""
    out: list[Meaning] = []
    for m in meanings:
        if (
            out
            and isinstance(m, Correction)
            and isinstance(out[-1], Correction)
            and out[-1].right
            and not out[-1].wrong
            and out[-1].force is Force.DENIED
        ):
            out[-1] = replace(m, target=m.target or out[-1].target, wrong=out[-1].right)
        elif (
            out
            and isinstance(m, Correction)
            and isinstance(out[-1], Correction)
            and out[-1].wrong
            and not out[-1].right
            and m.right
        ):
            out[-1] = replace(m, target=m.target or out[-1].target, wrong=out[-1].wrong)
        else:
            out.append(m)
    return out


def _asked_whole(found: list[Sentence]) -> list[Sentence]:
    """Make one question of the clauses from the first that asks on: the asking side reads its words itself."""
    asking = [n for n, s in enumerate(found) if s.force is Force.ASKED]
    if not asking:
        return found
    before = found[: asking[0]]
    if all(
        s.force is Force.SUPPOSED
        or s.clause.frame.meaning in ("fragment", "remark", "spell", "other")
        or s.clause.frame.name == "tin-left"
        for s in before
    ):
        before = []  # "if it is damp, can I ...", "the rail, can it be handled": all of it is what is asked
    start = 0 if not before else found[asking[0]].clause.i
    first, last = found[asking[0]], found[-1]
    first = replace(first, clause=replace(first.clause, i=start))
    return [*before, replace(first, clause=replace(first.clause, j=max(last.clause.j, first.clause.j)))]


def _reminder(phrase: Phrase, found: list[Sentence]) -> Errand | None:
    """Take "remind me at six to turn the heating on" as a job in free words that rings; None where it is work on a piece."""
    first = found[0]
    if first.force is not Force.ORDERED or not {"remind"} & {f.lemma for c in phrase.of(first.clause.i, Cat.VERB) for f in c.value}:
        return None
    start = next((k + 1 for k in range(len(phrase)) if phrase.at(k) == "to"), 0)
    times = [p.item for s in found for p in s.clause.parts if p.item.kind is Kind.TIME and p.slot == "when"]
    work = built(phrase, found[-1])
    if not start or start >= len(phrase) or (isinstance(work, Deed) and work.pieces is not None):
        return None
    end = min([t.i for t in times if t.j == len(phrase) and t.i > start] or [len(phrase)])
    ring = times[0].value.value if times and isinstance(times[0].value.value, When) else None
    return Errand(text=phrase.said(start, end), force=Force.ORDERED, words=phrase.text, ring=ring)


def _unread(phrase: Phrase, found: list[Sentence]) -> bool:
    """Whether a phrase tells of the job, though nothing in it was understood as work or as a remark."""
    job = any(
        p.item.kind is Kind.GROUP and (p.item.value.names or p.item.value.products)
        for s in found for p in s.clause.parts
    )  # fmt: skip
    told = [s for s in found if s.force in (Force.DONE, Force.UNDERWAY)]
    measured = any(p.item.kind is Kind.MEASURE and p.item.kinds[0] in _OF_WORK for s in told for p in s.clause.parts)
    return measured or (job and any(s.clause.cost > 1.0 for s in told))


#: Measures that only work and its air have: a remark has none.
_OF_WORK: Final = frozenset(["temperature", "grit", "ratio", "percent", "film"])


def _what(phrase: Phrase, found: list[Sentence]) -> str:
    for s in found:
        held = leftovers(phrase, s.clause)[1]
        if held:
            return held
    return "what was done"


def _missing(fragments: list[Sentence]) -> str:
    slots = {p.slot for s in fragments for p in s.clause.parts}
    return "what was done to it" if "pieces" in slots else "what it was done to"


# -- short answers ------------------------------------------------------------------------------


def _answer(phrase: Phrase, found: list[Sentence]) -> Answer | None:
    """Take a few words without a predicate as what may answer a question back."""
    words = [w for w, k in zip(phrase.words, phrase.kinds, strict=True) if k != "mark"]
    yes = True if words[0] in _YES else False if words[0] in _NO else None
    if len(words) == 1 and yes is not None:
        return Answer(yes=yes, words=phrase.text)
    if (
        len(found) > 1
        or len(words) > 8
        or (found[0].clause.frame.name != "fragment" and not (yes is not None and len(words) <= 3))
    ):
        return None
    if found[0].force is Force.ASKED:
        return None
    clause = found[0].clause
    slots = Slots(phrase, clause)
    if leftovers(phrase, clause)[1]:
        return None
    percent, temperature, amount = (slots.measure(n) for n in ("thinned", "temperature", "amount"))
    numbers = [float(v) for v in slots.measures("number", "grit") if isinstance(v, int | float)]
    return Answer(
        yes=yes, words=phrase.text, pieces=slots.pieces(), products=slots.products(), spaces=slots.spaces(), numbers=tuple(numbers),
        coat=slots.ordinal(), amount=amount if isinstance(amount, Amount) else None,
        percent=percent if isinstance(percent, Amount) else None,
        temperature=temperature if isinstance(temperature, Amount) else None, when=slots.when(),
    )  # fmt: skip


# -- corrections and repeats --------------------------------------------------------------------


def _tag_question(phrase: Phrase, auxiliaries: frozenset[str]) -> int:
    """Give where a tag question with one of ``auxiliaries`` begins ("..., haven't I"); 0 if there is none."""
    end = len(phrase)
    while end and phrase.kinds[end - 1] == "mark":
        end -= 1
    for length in (3, 2):
        start = end - length
        tail = phrase.words[start:end] if start > 2 else []
        if not tail or tail[-1] not in SUBJECTS or tail[0] not in auxiliaries or (length == 3 and tail[1] != "not"):
            continue
        if length == 3 or phrase.words[start - 1] == ",":
            return start
    return 0


#: "..., isn't it": the speaker is not sure, and asks.
_UNSURE: Final = frozenset(["is", "are", "does", "do", "can", "will", "would", "should"])
#: "..., haven't I": it only wants to be agreed with.
_AGREED: Final = frozenset(["did", "have", "has", "had", "was", "were"])


def _request(phrase: Phrase) -> int:
    """Give how many words a phrase begins with that only ask for the rest to be written down: "could you log that ..."."""
    if not requested(phrase, 0, len(phrase)):
        return 0
    k = phrase.words.index("you") + 1
    k += phrase.at(k) == "please"
    k += 1
    while phrase.at(k) in ("down", "in", "up", "for", "me", "us", "that", "this", ","):
        k += 1
    return k if k < len(phrase) else 0


_LEADS: Final = tuple(
    tuple(w.split()) for w in (
        "i tell a lie", "tell a lie", "my mistake", "i am wrong", "i was wrong", "hang on", "hold on", "scratch that", "i mean", "no", "nope",
        "sorry", "wait", "correction", "oops", "nah", "actually", "oh", "er", "um",
    )
)  # fmt: skip


def _taking_back(phrase: Phrase) -> int:
    """Give how many words a phrase begins with that take back what was said: "no, hang on, ...". 0 if there is none."""
    k, taken = 0, False
    while k < len(phrase):
        if phrase.kinds[k] == "mark" or phrase.words[k] in ("right", "ok", "so", "well", "and", "oh"):
            k += 1
            continue
        lead = next((w for w in _LEADS if tuple(phrase.words[k : k + len(w)]) == w), None)
        if lead is None:
            break
        again = any(tuple(phrase.words[k + 1 : k + 1 + len(w)]) == w for w in _LEADS)
        if lead == ("no",) and phrase.at(k + 1) not in (",", "") and not again and denies_a_thing(phrase, k + 1):
            break
        taken = taken or lead not in (("oh",), ("er",), ("um",))
        k += len(lead)
    return k if taken and 0 < k < len(phrase) else 0


def _fix(phrase: Phrase, found: list[Sentence]) -> Correction | None:
    """Take what follows "no," as putting the last entry right, unless it tells whole work of its own."""
    from assistant.language.building import _correction

    if len(found) != 1 or found[0].force is Force.ASKED:
        return None
    s = found[0]
    clause = s.clause
    if clause.frame.meaning == "correction":
        return None
    nominal = clause.verb is None or clause.light == "be"
    if clause.frame.name not in ("fragment", "coat", "sand", "air", "flaw") or not nominal:
        return None
    slots = {p.slot for p in clause.parts}
    if clause.frame.name == "coat" and {"pieces", "products"} <= slots and "coat" in slots:
        return None
    if not slots - {None, "subordinator"}:
        return None
    parts = [p for p in clause.parts if not (p.left and p.item.kinds[0].startswith("pronoun"))]
    wrong = [p for p in parts if p.slot == "wrong" or p.item.prep == "not"]
    return _correction(phrase, s, [], [p for p in parts if p not in wrong], wrong)


def _same(phrase: Phrase, found: list[Sentence]) -> Same | None:
    """Take "same on the other door", "ditto the shelf at ten past"."""
    if not _SAME & set(phrase.words) or any(s.force is not Force.DONE and s.force is not Force.ORDERED for s in found):
        return None
    pieces, source, coat, when = None, None, None, None
    grits: tuple[int, ...] = ()
    products: tuple[Name, ...] = ()
    for s in found:
        slots = Slots(phrase, s.clause)
        for p in s.clause.parts:
            if p.item.kind is Kind.GROUP and p.item.value.head in (Head.PIECE, Head.PRONOUN) and p.item.prep == "as":
                source = p.item.value.group("")
        mine = slots.pieces("anything", "on", "other")
        if mine is not None and (mine.names or mine.quantifier or mine.pronoun):
            pieces = pieces or mine
        coat, grits = coat or slots.ordinal(), grits or slots.grits()
        products, when = products or slots.products(), when or slots.when()
    return Same(
        words=phrase.text,
        pieces=pieces,
        source=source,
        coat=coat,
        grit=grits[0] if grits else None,
        products=products,
        when=when,
    )


def _too(phrase: Phrase, found: list[Sentence]) -> bool:
    said = (p.item for s in found for p in s.clause.parts if p.item.kind is Kind.FUNCTION)
    return phrase.at(0) in ("and", "then", "also", "plus", "next") or any(
        i.kinds[-1] == "discourse" and i.value.value == "too" for i in said
    )


def _done_too(phrase: Phrase, found: list[Sentence]) -> Same | None:
    """Take "and the other door too", "the starboard one's done now" as the last thing done, on another piece."""
    if len(found) != 1 or found[0].force is not Force.DONE:
        return None
    clause = found[0].clause
    slots = Slots(phrase, clause)
    pieces = slots.pieces()
    if pieces is None or not (pieces.names or pieces.quantifier or pieces.pronoun) or leftovers(phrase, clause)[1]:
        return None
    if clause.frame.name == "done" or (clause.frame.name == "fragment" and _too(phrase, found)):
        grits = slots.grits()
        return Same(
            words=phrase.text,
            pieces=pieces,
            coat=slots.ordinal(),
            grit=grits[0] if grits else None,
            products=slots.products(),
            when=slots.when(),
        )
    return None


# -- one time for several -----------------------------------------------------------------------


def _shared_times(meanings: list[Meaning]) -> list[Meaning]:
    """Give deeds that are joined without a verb of their own the time that was said of the one they hang on."""
    out = list(meanings)
    for n, m in enumerate(out):
        if isinstance(m, Deed) and m.gapped and m.when is None and n and isinstance(out[n - 1], Deed):
            out[n] = replace(m, when=out[n - 1].when)  # type: ignore[attr-defined]
    for n in range(len(out) - 2, -1, -1):
        m, after = out[n], out[n + 1]
        if (
            isinstance(m, Deed)
            and isinstance(after, Deed)
            and (after.gapped or (not after.verb and not m.verb and after.act is m.act))
            and m.when is None
            and after.when is not None
        ):
            out[n] = replace(m, when=after.when)
    return out


def _explained(phrase: Phrase, found: list[Sentence]) -> list[str]:
    lines = []
    for token, word, doubt in zip(phrase.tokens, phrase.words, phrase.doubts, strict=True):
        if doubt:
            lines.append(f"{token.text}: taken as {word} ({doubt:g})")
    for s in found:
        c = s.clause
        said = phrase.said(c.i, c.j)
        how = (
            f"{c.frame.name}"
            + (f", verb {c.lemma}" if c.lemma else "")
            + (", goes on with the verb before" if s.gapped else "")
        )
        lines.append(f'"{said}" as {how}: {s.force.value}, cost {c.cost:.2f}')
        for p in c.parts:
            words = phrase.said(p.item.i, p.item.j)
            if p.slot:
                lines.append(
                    f"  {words} -> {p.slot} ({p.item.kinds[0]})" + (f", doubt {p.item.doubt:g}" if p.item.doubt else "")
                )
            elif p.item.content or p.item.loose >= 0.3:
                lines.append(f"  {words}: no use ({p.item.kinds[0]})")
    return lines
