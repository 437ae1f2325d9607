"""What a phrase means, typed: one immutable value a statement, names still open where the words were.

The reader makes these; the dialogue settles them against the job and rules what becomes of each. Nothing here
knows the job: a :class:`Group` says which pieces were spoken of, not which they are. Every meaning
carries the words it was made of and the words of its clause that it could not use, so that nothing said is
dropped without being named.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta
from enum import StrEnum

from assistant.language.names import Name
from assistant.language.when import When
from assistant.quantity import Amount


class Force(StrEnum):
    """What the speaker does by saying a clause. Only ``DONE`` tells of work done on this job by the speaker."""

    DONE = "done"
    UNDERWAY = "under way"  # begun and not said to have ended: "started priming the door", "sanding the door"
    MEANT = "meant"  # to come: "I'll sand it tomorrow", "enamel goes on the shelf next", "the door needs a coat"
    WISHED = "wished"  # "I should have", "I'd like to", "could do with"
    ORDERED = "ordered"  # put on the list: "remind me to", "add ... to the list", "don't let me forget"
    SUPPOSED = "supposed"  # "if", "might", "maybe", "suppose", "I think I"
    REPORTED = "reported"  # said by or done by another, or on another boat; what a label says
    DENIED = "denied"  # "did not", "never", "haven't"
    ASKED = "asked"
    REMARKED = "remarked"  # a comment, a joke, a greeting: nothing for the journal


class Act(StrEnum):
    """Work on a piece; the value is the kind of event that tells of it, where there is one."""

    COAT = "coat"
    SAND = "sand"
    FILL = "fill"
    STRIP = "strip"
    CLEAN = "clean"
    MASK = "mask"
    UNMASK = "unmask"
    BOND = "bond"
    CLAMP = "clamp"
    UNCLAMP = "unclamp"
    FIT = "fit"
    UNFIT = "unfit"  # taken down, unscrewed, unhung
    MIX = "mix"
    THIN = "thin"
    OTHER = "other"  # a verb of the trade or of the house that has no event of its own: drill, measure, oil a hinge


class Quantifier(StrEnum):
    """How many of those named are meant."""

    ALL = "all"  # all, every, everything, the lot
    BOTH = "both"
    EACH = "each"
    OTHER = "other"  # the other one: of those named or last spoken of, the one that was not
    REST = "rest"  # the rest, the others: all that were not
    ANY = "any"
    NONE = "none"


class Pronoun(StrEnum):
    """A word that stands for what was spoken of."""

    IT = "it"  # it, that, this
    THEM = "them"  # them, they, those, these
    SAME = "same"


@dataclass(frozen=True, slots=True)
class Group:
    """Pieces as spoken of: named, counted, by the space they are in, by a pronoun, with exceptions.

    ``names`` are joined ("the door and the shelf"); a :class:`Name` of several options is a question unless it is
    plural. No names and a quantifier: of everything ("everything in the heads"). ``kind`` is the plural noun alone
    ("doors") where the words named no single piece.
    """

    names: tuple[Name, ...] = ()
    quantifier: Quantifier | None = None
    count: int | None = None  # "both", "two of them", "the three doors"
    pronoun: Pronoun | None = None
    spaces: tuple[Name, ...] = ()  # "in the heads", "all the saloon"
    besides: Group | None = None  # "except the table", "apart from ...", "but not ..."
    part: str | None = None  # "bottom half", "underside", "port end": of each piece named
    unknown: str | None = None  # a noun where a piece would stand, that no name of the job has
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meaning:
    """What every meaning has."""

    words: str = ""  # the clause as said
    unused: tuple[str, ...] = ()  # content words of the clause that this meaning does not hold: to be named back
    force: Force = Force.DONE
    held: str | None = None  # why it must not be logged as it stands: the word or the thing that is missing
    doubt: float = 0.0  # 0: every word as it is in the word list; above 0.5 it is asked about first


@dataclass(frozen=True, slots=True, kw_only=True)
class Deed(Meaning):
    """Work on pieces: done, under way, meant, denied ... ``when`` is as said, None if nothing was said."""

    act: Act
    verb: str = ""  # the verb or noun as said, in its plain form ("rub down"); "" where no verb was said
    pieces: Group | None = None
    products: tuple[Name, ...] = ()  # more than one: "primer and undercoat on the door" is two coats
    kind: str | None = None  # the kind of product that the verb itself means ("varnished": varnish)
    coat: int | None = None  # the number of the coat
    final: bool = False  # "the last coat", "final coat"
    count: int | None = None  # how many coats
    another: bool = False  # "another coat", "one more"
    grit: tuple[int, ...] = ()
    tool: str | None = None
    thinned: Amount | None = None  # percent; 0 for "neat"
    amount: Amount | None = None  # mixed, or used
    ratio: tuple[float, ...] | None = None
    parts: tuple[tuple[str, Amount], ...] = ()  # "sixty resin, thirty hardener"
    when: When | None = None
    began: When | None = None  # "started at nine, finished at ten"
    took: timedelta | None = None  # "took forty minutes"
    due: When | None = None  # meant: by then
    not_before: When | None = None  # meant: not before then ("put off till friday")
    after: str | None = None  # meant: after what, in words ("after the second coat", "before it is primed")
    put_off: bool = False  # an intention moved: "put off the door till friday"
    dropped: bool = False  # an intention given up: "not bothering with the shelf"
    with_it: bool = False  # "filled the hole with it": with what was mixed or used last
    gapped: bool = False  # no verb of its own: it goes on with the deed before ("and the starboard one at two")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spell(Meaning):
    """The air: a reading (DONE) or what is expected (MEANT, SUPPOSED)."""

    spaces: tuple[Name, ...] = ()
    besides: tuple[Name, ...] = ()  # "everywhere except the saloon"
    everywhere: bool = False  # said so, or "the rest of the boat"
    temperature: Amount | None = None
    surface: Amount | None = None  # of a surface, not the air
    humidity: Amount | None = None
    outside: bool = False
    there: bool = False  # "in there": the space last spoken of
    heating: str | None = None  # "on", "off", "up", "down"
    when: When | None = None
    until: When | None = None
    lasting: timedelta | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Flaw(Meaning):
    """Something wrong with a film; ``fault`` as in the journal's events."""

    fault: str = "other"
    pieces: Group | None = None
    products: tuple[Name, ...] = ()
    coat: int | None = None
    when: When | None = None
    mended: bool = False  # "brushed the run out", "sanded the sag off"
    text: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TinFact(Meaning):
    """What became of a tin; ``change`` as in the journal's events, or "left" for what is said to be left."""

    change: str
    products: tuple[Name, ...] = ()
    unknown: str | None = None
    amount: Amount | None = None
    share: float | None = None  # "half a tin": of a tin
    count: int | None = None  # tins
    pieces: Group | None = None  # what it was used on, or wanted for
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule(Meaning):
    """Hours: sleep, quiet, deadline, away, closed, helper."""

    rule: str
    start: When | None = None
    end: When | None = None
    lasting: timedelta | None = None
    spaces: tuple[Name, ...] = ()
    pieces: Group | None = None
    daily: bool = False
    once: bool = False  # of this night alone


@dataclass(frozen=True, slots=True, kw_only=True)
class GearFact(Meaning):
    """Filters, blades, rollers fitted or replaced."""

    item: str = ""
    change: str = "replaced"
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Errand(Meaning):
    """A job in free words: to do (ORDERED, MEANT), done (DONE) or dropped."""

    text: str
    pieces: Group | None = None
    dropped: bool = False
    due: When | None = None
    not_before: When | None = None
    ring: When | None = None  # "remind me at six to ..."
    after: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Note(Meaning):
    """Words to be kept as they are: "note that ...", a remark of the job worth a line."""

    text: str
    when: When | None = None
    pieces: Group | None = None  # what it speaks of, so that "it" is that from here


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo(Meaning):
    """Take back: the last entry, the last few, or the one described."""

    count: int = 1
    target: Deed | Spell | TinFact | Flaw | None = None  # "scratch the sanding", "take the second coat off the shelf"


@dataclass(frozen=True, slots=True, kw_only=True)
class Correction(Meaning):
    """Put an entry right.

    ``target`` is what it says of the entry meant; ``right`` what it should be; ``wrong`` what it is said not to be
    ("sunday, not saturday"). A slot of ``right`` that is None stays as it was.
    """

    target: Deed | None = None
    right: Deed | None = None
    wrong: Deed | None = None
    numbers: tuple[float, ...] = ()  # bare numbers of the right side, whose role the target decides
    spaces: tuple[Name, ...] = ()
    temperature: Amount | None = None
    humidity: Amount | None = None
    fault: str | None = None
    loose: bool = False  # ``right`` also holds what describes the entry: the journal shows which is which
    only: bool = False  # "only the leaf": of what was logged together
    undone: bool = False  # what is ``wrong`` was not done at all
    meant: bool = False  # it says in so many words that it puts right: "I meant", "nearer", "when I said"
    either: bool = False  # the time of ``right`` and ``numbers`` are two ways to take the same words
    otherwise: tuple[Meaning, ...] = ()  # what the words tell where no entry fits them


@dataclass(frozen=True, slots=True, kw_only=True)
class Same(Meaning):
    """The last thing done, again: "same on the other door", "ditto the shelf at ten past"."""

    pieces: Group | None = None
    source: Group | None = None  # "the same as the port one"
    coat: int | None = None
    grit: int | None = None
    products: tuple[Name, ...] = ()
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer(Meaning):
    """A short answer to a question back: yes, no, or a bare name, number, time."""

    yes: bool | None = None
    pieces: Group | None = None
    products: tuple[Name, ...] = ()
    spaces: tuple[Name, ...] = ()
    numbers: tuple[float, ...] = ()
    coat: int | None = None
    amount: Amount | None = None
    percent: Amount | None = None
    temperature: Amount | None = None
    when: When | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Question(Meaning):
    """A question; it is read as a typed query, and never writes."""

    force: Force = Force.ASKED


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark(Meaning):
    """Nothing for the journal: a greeting, a joke, other people's boats, what the label says read aloud."""

    force: Force = Force.REMARKED


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread(Meaning):
    """What was not understood; ``missing`` is the one thing that would make it so."""

    missing: str = ""


class Change(StrEnum):
    """What a change of the plan does."""

    MORE = "more"  # so many coats more
    FEWER = "fewer"
    TOTAL = "total"  # so many coats in all
    SKIP = "skip"  # sanding or cleaning left out before a coat
    DROP = "drop"  # a piece out of the plan
    BACK = "back"  # and in again
    USE = "use"  # a product instead of another
    AFTER = "after"  # ``pieces`` wait for ``other``


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChange(Meaning):
    """A lasting change of the plan. ``count`` is of coats; ``coat`` is the one before which a step is left out."""

    change: Change
    pieces: Group | None = None
    other: Group | None = None
    products: tuple[Name, ...] = ()
    instead: tuple[Name, ...] = ()  # what ``products`` stand in for
    act: Act | None = None
    coat: int | None = None
    final: bool = False  # before the last coat
    count: int | None = None
    force: Force = Force.ORDERED


@dataclass(frozen=True, slots=True)
class Reading:
    """A whole phrase, read: its meanings in the order they were said, and how sure it is."""

    phrase: str
    meanings: tuple[Meaning, ...]
    cost: float = 0.0  # 0 is best; grows with what had to be supposed or skipped
    named: bool = False  # it names a thing of the job or a measure
    rivals: tuple[tuple[Meaning, ...], ...] = ()  # readings of other meaning at equal cost: ask which
    explanation: tuple[str, ...] = field(default=(), compare=False)
