"""What a recogniser may expect to hear: the spoken shapes and the job's names as a grammar.

The shapes of ``grammars/spoken.toml`` become a JSGF grammar (an open format) for one engine and a list of phrases for
another. Each slot has its own range: a temperature is not a grit, and a percent is not an amount.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from typing import Final

from assistant.journal.state import State
from assistant.language.clock import WORDS as CLOCK_WORDS
from assistant.language.names import cut, plural
from assistant.language.phrasing import expand, spoken
from assistant.language.wordlist import wordlist

_SMALL: Final = (
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen",
    "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen",
)  # fmt: skip
_TENS: Final = ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_HOURS: Final = _SMALL[:12]
_FIXED: Final = {
    "ordinal": "first | second | third | fourth | fifth | sixth",
    "count": "one | two | three | four | five | six",
    "hour": " | ".join(_HOURS),
    "five": "five | ten | twenty | twenty five",
    "minutes": "oh five | ten | fifteen | twenty | twenty five | thirty | thirty five | forty | forty five | fifty "
    "| fifty five",
    "upto": " | ".join(_SMALL),
    "tens": " | ".join(_TENS),
    "digit": " | ".join(_SMALL[:9]),
    "clock": "<hour> [ o'clock ] | half [ past ] <hour> | [ a ] quarter ( past | to ) <hour> "
    "| <five> ( past | to ) <hour> | <hour> <minutes> | <hour> ( a m | p m ) | noon | midnight",
    "duration": "[ a ] half an hour | an hour | an hour and a half | <upto> minutes | <tens> [ five ] minutes "
    "| <upto> hours",
    "time": "at <clock> | <duration> ago | [ at <clock> ] last night | last night at <clock> | yesterday at <clock> "
    "| this morning at <clock> | just now",
    "day": "monday | tuesday | wednesday | thursday | friday | saturday | sunday | tomorrow",
    "grit": "sixty | eighty | one twenty | one fifty | one eighty | two twenty | two forty | two eighty | three twenty "
    "| three sixty | four hundred | six hundred | eight hundred | a thousand",
    "percent": "( <upto> | twenty [ five ] | thirty ) percent",
    "humidity": "( <tens> [ <digit> ] ) percent",
    "hundreds": "<digit> hundred [ and ( <upto> | <tens> [ <digit> ] ) ] | a hundred [ and ( <upto> | <tens> ) ]",
    "amount": "( <upto> | <tens> [ <digit> ] | <hundreds> ) ( mil | grams ) | half a litre | a litre | a pint",
    "temperature": "( minus <digit> | <upto> | twenty [ <digit> ] | thirty ) degrees",
    "fault": "run | sag | dry spot | bloom | wrinkle | fisheye",
}  # fmt: skip
_COMMONEST: Final = frozenset(["varnish", "primer", "undercoat", "sand", "sanded", "coat", "recoat"])
_SLOT: Final = re.compile(r"<([a-z]+)>")


def spoken_names(names: Iterable[str]) -> list[str]:
    """Give names as they are said: words only, no marks; a name without words is left out."""
    said = (" ".join(w for w in cut(name) if w.isalpha()) for name in names)
    return list(dict.fromkeys(s for s in said if s))


def _tails(names: Iterable[str]) -> list[str]:
    """Give "trim" for "hatch trim", and "doors" where two names end in door."""
    counts = Counter(n.split()[-1] for n in names if " " in n)
    return [*counts, *(plural(w) for w, many in counts.items() if many > 1)]


class PhraseSource:
    """The phrases of one job; made anew when its names change."""

    def __init__(self, state: State) -> None:
        pieces = spoken_names(n for p in state.pieces.values() for n in (p.name, *p.also)) or ["piece"]
        labels = spoken_names(n for p in state.labels.values() for n in (p.name, *p.also))
        self._names = {
            "piece": [*pieces, *_tails(pieces), "other door" if any("door" in p for p in pieces) else "other one"],
            "space": spoken_names(n for p in state.spaces.values() for n in (p.name, *p.also)) or ["cabin"],
            "product": labels or ["varnish", "primer", "undercoat", "epoxy"],
        }
        self._shapes = [shape for kind in spoken() for shape in kind.shapes]

    def jsgf(self) -> str:
        """Give the grammar as JSGF text: one public rule, a rule for each slot."""
        rules = [f"<{k}> = {' | '.join(v)};" for k, v in self._names.items()]
        rules.extend(f"<{k}> = {v};" for k, v in _FIXED.items())
        shapes = " | ".join(_spaced(s) for s in [*self._shapes, *_ANSWERS])
        return "\n".join(["#JSGF V1.0;", "grammar dabhand;", *rules, f"public <phrase> = {shapes};", ""])

    def phrases(self) -> list[str]:
        """Give phrases and fragments that cover every word and join, for an engine that learns pairs of words."""
        out: list[str] = []
        for shape in self._shapes:
            out.extend(_SLOT.sub(self._first, text) for text in expand(shape))
        for words in self._names.values():
            out.extend(words)
        for rule in _FIXED.values():
            out.extend(t for t in (_plain(a) for a in rule.split("|")) if t)
        return list(dict.fromkeys(" ".join(p.split()) for p in out))

    def _first(self, slot: re.Match[str]) -> str:
        name = slot.group(1)
        return self._names[name][0] if name in self._names else _plain(_FIXED[name].split("|")[0])

    @staticmethod
    def note_cues() -> list[str]:
        """Give the beginnings after which the rest is free speech."""
        return ["note", "make a note", "take a note", "note that"]

    def vocabulary(self) -> set[str]:
        """Give every word that the reader knows, beyond the grammar's own shapes too."""
        return {w for w in wordlist().known | CLOCK_WORDS | self.words() if w.replace("'", "").isalpha()}

    def names(self) -> set[str]:
        """Give the words of the job's names, and the trade's commonest: likelier here than in other talk."""
        return {w for words in self._names.values() for n in words for w in n.split() if len(w) > 3} | _COMMONEST

    def words(self) -> set[str]:
        """Give every word that may be heard."""
        text = " ".join([*self._shapes, *_ANSWERS, *_FIXED.values(), *(n for v in self._names.values() for n in v)])
        return {w for w in re.sub(r"<[a-z]+>|[\[\]()|]", " ", text).split() if w}


#: Bare answers to a question back.
_ANSWERS: Final = (
    "yes", "no", "<piece>", "the <piece>", "both", "<product>", "<amount>", "<percent>", "<humidity>", "<temperature>",
)  # fmt: skip


def _spaced(shape: str) -> str:
    return " ".join(re.sub(r"([\[\]()|])", r" \1 ", shape).split())


def _plain(text: str) -> str:
    return " ".join(re.sub(r"<[a-z]+>|[\[\]()]", " ", text).split())
