"""What a noun group is: what is spoken of, with its number, its quantifier and what is left out of it."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.language.meanings import Group, Pronoun, Quantifier
from assistant.language.names import Name
from assistant.quantity import Amount


class Head(StrEnum):
    """What a noun group is about: a thing of the job, or the kind of a noun (the senses of ``nouns.toml``)."""

    PIECE = "piece"
    SPACE = "space"
    PRODUCT = "product"
    COAT = "coat"
    ACT = "act"
    TOOL = "tool"
    ABRASIVE = "abrasive"
    VESSEL = "vessel"
    PART = "part"
    COMPONENT = "component"
    THINNER = "thinner"
    FAULT = "fault"
    GEAR = "gear"
    PERSON = "person"
    ANIMAL = "animal"
    BODY = "body"
    PLACE = "place"
    BOAT = "boat"
    DOCUMENT = "document"
    AIR = "air"
    TASK = "task"
    TAPE = "tape"
    HARDWARE = "hardware"
    WEATHER = "weather"
    FOOD = "food"
    NOISE = "noise"
    ABSTRACT = "abstract"
    MATERIAL = "material"
    DIRT = "dirt"
    HOUSE = "house"
    PRONOUN = "pronoun"
    SELF = "self"  # I, we, me
    OTHERS = "others"  # he, she, they as persons, you
    AMOUNT = "amount"
    NUMBER = "number"
    ORDINAL = "ordinal"  # "the second": a coat, if anything
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class NounGroup:
    """Words ``i`` up to ``j`` as one noun group."""

    i: int
    j: int
    head: Head
    lemma: str = ""
    value: str = ""  # of a noun: the fault, the act, the component
    determiner: str = ""
    quantifier: Quantifier | None = None
    count: float | None = None
    ordinal: int | None = None
    sequence: str = ""  # "next", "last"
    another: bool = False
    names: tuple[Name, ...] = ()  # pieces
    spaces: tuple[Name, ...] = ()
    products: tuple[Name, ...] = ()
    part: str | None = None
    besides: NounGroup | None = None
    pronoun: Pronoun | None = None
    unknown: str | None = None
    others: bool = False  # somebody else's: "his", "next door's"
    amount: Amount | None = None
    percent: Amount | None = None
    share: float | None = None
    grit: int | None = None
    states: tuple[str, ...] = ()
    component: str | None = None
    opinion: bool = False  # "a nice clean line"
    near: bool = False  # almost: "most of the door", "half the shelf"
    plural: bool = False
    doubt: float = 0.0

    def group(self, words: str) -> Group:
        """Give the pieces it speaks of, for settling."""
        return Group(
            names=self.names,
            quantifier=self.quantifier,
            count=int(self.count) if self.count and self.head in (Head.PIECE, Head.PRONOUN) else None,
            pronoun=self.pronoun,
            spaces=self.spaces,
            besides=self.besides.group("") if self.besides else None,
            part=self.part,
            unknown=self.unknown,
            words=words,
        )

    @property
    def of_pieces(self) -> bool:
        """Whether it speaks of pieces, by name, pronoun or quantifier."""
        return bool(self.names) or self.head in (Head.PIECE, Head.PRONOUN) or self.part is not None
