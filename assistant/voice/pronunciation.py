"""How words are pronounced, for a recogniser whose dictionary does not have them.

In this order: the lexicon ``grammars/lexicon.txt``; a compound or an inflection of words that the
dictionary knows ("bookcase", "restarted"), which is right far more often than any rule; and last a
letter-to-sound engine, asked in a process of its own.

Phones are the 39 of ARPAbet without stress, as in the CMU dictionary.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Final, NamedTuple

from assistant.data import root
from assistant.problem import Problem

PHONES: Final = frozenset(
    [
        "AA",
        "AE",
        "AH",
        "AO",
        "AW",
        "AY",
        "B",
        "CH",
        "D",
        "DH",
        "EH",
        "ER",
        "EY",
        "F",
        "G",
        "HH",
        "IH",
        "IY",
        "JH",
        "K",
        "L",
        "M",
        "N",
        "NG",
        "OW",
        "OY",
        "P",
        "R",
        "S",
        "SH",
        "T",
        "TH",
        "UH",
        "UW",
        "V",
        "W",
        "Y",
        "Z",
        "ZH",
    ]
)
#: Gives the phones of a word, or None.
Lookup = Callable[[str], str | None]

_UNVOICED: Final = frozenset(["P", "T", "K", "F", "TH"])
_HISSES: Final = frozenset(["S", "Z", "SH", "ZH", "CH", "JH"])
_PREFIXES: Final = {
    "re": "R IY",
    "un": "AH N",
    "over": "OW V ER",
    "under": "AH N D ER",
    "pre": "P R IY",
    "de": "D IY",
}


class Entry(NamedTuple):
    """A word of the lexicon: its phones (several ways are several entries), and words that a fixed vocabulary has."""

    phones: tuple[str, ...]
    spelling: str | None


@cache
def lexicon(path: Path | None = None) -> dict[str, Entry]:
    """Read ``WORD  PHONES [= spelling]`` lines; a word said in several ways has several lines."""
    path = path or root() / "grammars" / "lexicon.txt"
    found: dict[str, Entry] = {}
    if not path.exists():
        return found
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        body = line.split("#")[0].strip()
        if not body:
            continue
        word, _, rest = body.partition(" ")
        phones, _, spelling = (part.strip() for part in rest.partition("="))
        if wrong := [p for p in phones.split() if p not in PHONES]:
            raise Problem(f"{path.name} line {number}: {wrong[0]} is no ARPAbet phone")
        old = found.get(word, Entry((), None))
        ways = (*old.phones, " ".join(phones.split())) if phones else old.phones
        found[word] = Entry(ways, spelling or old.spelling)
    return found


def pronounce(word: str, known: Lookup, rule: Lookup | None = None) -> tuple[str, ...]:
    """Give the ways in which ``word`` may be said, () if nobody can tell.

    ``known`` is the recogniser's dictionary, ``rule`` a letter-to-sound engine.
    """
    entry = lexicon().get(word)
    if entry and entry.phones:
        return entry.phones
    found = list(dict.fromkeys([*_inflected(word, known), *_compounds(word, known)]))
    if found:
        return tuple(found[:3])
    guess = rule(word) if rule else None
    return (guess,) if guess else ()


def _compounds(word: str, known: Lookup) -> Iterator[str]:
    """Two known words in one; the longer first part first, and no part under three letters."""
    parts = word.replace("-", " ").replace("'", "").split()
    if len(parts) > 1:
        phones = [known(p) for p in parts]
        if all(phones):
            yield " ".join(p for p in phones if p)
        return
    for prefix, sound in _PREFIXES.items():
        if word.startswith(prefix) and len(word) > len(prefix) + 2 and (rest := known(word[len(prefix) :])):
            yield f"{sound} {rest}"
    for cut in range(len(word) - 3, 2, -1):
        if (first := known(word[:cut])) and (second := known(word[cut:])):
            yield re.sub(r"\b(\w+) \1\b", r"\1", f"{first} {second}")  # two like phones where they meet are said once


def _inflected(word: str, known: Lookup) -> Iterator[str]:
    def stem(*spellings: str) -> str | None:
        for s in spellings:
            if len(s) > 2 and (phones := known(s) or next(iter(lexicon().get(s, Entry((), None)).phones), None)):
                return phones
            if len(s) > 5 and (joined := next(_compounds(s, known), None)):
                return joined
        return None

    if word.endswith("'s") and (base := stem(word[:-2])):
        yield base + _plural(base)
    if word.endswith("s") and not word.endswith("ss"):
        tries = [word[:-1], word[:-2]] if word.endswith("es") else [word[:-1]]
        if base := stem(*tries):
            yield base + _plural(base)
    for ending, tail in (("ing", " IH NG"), ("er", " ER"), ("ers", " ER Z")):
        bare = word.removesuffix(ending)
        if bare != word and (base := stem(bare, bare + "e", _undoubled(bare))):
            yield base + tail
    if word.endswith("ed"):
        bare = word[:-2]
        if base := stem(bare, bare + "e", _undoubled(bare)):
            last = base.split()[-1]
            yield base + (" AH D" if last in ("T", "D") else " T" if last in _UNVOICED | {"S", "SH", "CH"} else " D")


def _undoubled(stem: str) -> str:
    return stem[:-1] if len(stem) > 3 and stem[-1] == stem[-2] else stem


def _plural(phones: str) -> str:
    last = phones.rsplit(maxsplit=1)[-1]
    return " IH Z" if last in _HISSES else " S" if last in _UNVOICED else " Z"


#: espeak-ng's English phoneme mnemonics, longest first when matched, as ARPAbet. The mapping is by sound:
#: https://github.com/espeak-ng/espeak-ng/blob/master/docs/phonemes.md
_ESPEAK: Final = {
    "aI@": "AY ER", "aI3": "AY ER", "aU@": "AW ER", "i@3": "IH R", "I2#": "IH", "tS": "CH", "dZ": "JH", "aI": "AY",
    "aU": "AW", "eI": "EY", "OI": "OY", "oU": "OW", "@U": "OW", "I#": "IH", "I2": "IH", "i@": "IH R", "e@": "EH R",
    "U@": "UH R", "A@": "AA R", "O@": "AO R", "o@": "AO R", "3:": "ER", "A:": "AA", "O:": "AO", "i:": "IY", "u:": "UW",
    "@L": "AH L", "@2": "AH", "@5": "AH", "a#": "AH", "IR": "ER", "VR": "AH R", "0#": "AA", "aa": "AE", "@": "AH",
    "3": "ER", "a": "AE", "A": "AA", "E": "EH", "I": "IH", "i": "IY", "0": "AA", "O": "AO", "U": "UH", "u": "UW",
    "V": "AH", "e": "EH", "o": "OW", "b": "B", "d": "D", "D": "DH", "f": "F", "g": "G", "h": "HH", "j": "Y", "k": "K",
    "l": "L", "m": "M", "n": "N", "N": "NG", "p": "P", "r": "R", "R": "R", "s": "S", "S": "SH", "t": "T", "T": "TH",
    "v": "V", "w": "W", "z": "Z", "Z": "ZH", "x": "K", "?": "", "*": "T",
}  # fmt: skip
_MNEMONIC: Final = re.compile("|".join(re.escape(k) for k in sorted(_ESPEAK, key=len, reverse=True)))


def arpabet(mnemonics: str) -> str | None:
    """Give espeak-ng's phoneme mnemonics as ARPAbet; None if none of it is known."""
    bare = re.sub(r"[',%=_:|;~!-]+(?=[^:]|$)", lambda m: ":" if m[0] == ":" else "", mnemonics.replace(" ", ""))
    phones = " ".join(p for p in (_ESPEAK[m] for m in _MNEMONIC.findall(bare)) if p)
    return phones or None
