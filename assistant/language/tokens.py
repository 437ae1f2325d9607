"""A phrase cut into words, with where each stood.

Written and spoken forms are brought together here: "750ml" is two words, "twenty-five" is two,
"P240" is two, but "20:15", "2:1", "1/2" and "2nd" stay whole because the pieces mean
nothing apart.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import Final, NamedTuple

from assistant import data

#: Longer phrases are refused before any reading: nobody says 600 characters to log a coat.
LONGEST: Final = 600

_QUOTES: Final = str.maketrans({"’": "'", "‘": "'", "`": "'", "“": '"', "”": '"', "–": "-", "—": ",", "−": "-"})
_FRACTIONS: Final = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅓": " 1/3", "⅔": " 2/3", "⅛": " 1/8"}

_DOTTED: Final = re.compile(r"\b([apAP])\s?\.\s?[mM]\b\.?")

_UNDERCOAT: Final = re.compile(r"\bu/c(?:oat)?\b", re.IGNORECASE)
_DOTS: Final = re.compile(r"\.{2,}|…")

_TOKEN: Final = re.compile(
    r"""
    (?P<iso>\d{4}-\d{2}-\d{2})
  | (?P<clock>\d{1,2}[:h]\d{2}(?!\d)(?::\d{2})?)
  | (?P<ratio>\d+(?:\.\d+)?(?:\s?:\s?\d+(?:\.\d+)?)+)
  | (?P<ordinal>\d+(?:st|nd|rd|th)\b)
  | (?P<fraction>\d+/\d+)
  | (?P<odd>\d+(?:\.\d+)?[eE][+-]?\d+\b)
  | (?P<number>(?:(?<!\S)-)?(?:\d{1,3}(?:,\d{3})+|\d+)(?:[.,]\d+)?|(?:(?<!\S)-)?\.\d+)
  | (?P<word>[^\W\d_]+(?:'[^\W\d_]+)*'?)
  | (?P<mark>[,;.!?%°&+:])
  | (?P<other>\S)
    """,
    re.VERBOSE,
)


class Token(NamedTuple):
    """One word, number or mark. ``kind`` is the group of the pattern that found it."""

    text: str
    kind: str
    start: int
    end: int


@cache
def _opened() -> dict[str, tuple[str, ...]]:
    """Give the contractions that would hide two words of different use, and what thumbs shorten: ``written.toml``."""
    table = data.read_toml(data.root() / "grammars" / "written.toml")["opened"]
    return {k: tuple(v.split()) for k, v in table.items()}


def normal(phrase: str) -> str:
    """Give a phrase in the form that tokens are cut from, its case kept; their offsets count in this."""
    text = _DOTS.sub(", ", phrase.translate(_QUOTES))
    for sign, words in _FRACTIONS.items():
        text = text.replace(sign, words)
    text = _UNDERCOAT.sub("undercoat", text).replace("w/", "with ").replace("@", " at ").replace("&", " and ")
    text = _DOTTED.sub(r"\1m", text)
    return unicodedata.normalize("NFKC", text).replace("\u2044", "/")


def tokens(phrase: str) -> list[Token]:
    """Cut ``phrase``; everything is lower case in NFKC form, symbols nobody speaks are ``other``."""
    text = normal(phrase)
    lower = text.lower()
    text = lower if len(lower) == len(text) else text
    out: list[Token] = []
    for found in _TOKEN.finditer(text):
        kind = found.lastgroup or "other"
        piece = found.group()
        start, end = found.span()
        if piece in ("-", '"'):
            continue  # "twenty-five" is two words, and a quotation mark is not spoken
        if kind == "word":
            out.extend(_words(piece, start, end))
        elif kind == "ratio":
            out.append(Token(re.sub(r"\s", "", piece), kind, start, end))
        elif kind == "mark" and piece == ".":
            out.append(Token(",", kind, start, end))
        else:
            out.append(Token(piece, kind, start, end))
    return out


def _words(piece: str, start: int, end: int) -> list[Token]:
    if (opened := _opened().get(piece)) is not None:
        return [Token(w, "word", start, end) for w in opened]
    for lead in ("t'", "th'"):  # "t'leg"
        if piece.startswith(lead) and len(piece) > len(lead) + 1:
            return [Token("the", "word", start, start + len(lead)), *_words(piece[len(lead) :], start + len(lead), end)]
    bare = piece.rstrip("'")
    if bare.endswith("'s") and len(bare) > 2:
        # "the trim's ready": is or has, which nothing turns on; a possessive reads the same
        return [Token(bare[:-2], "word", start, end - 2), Token("'s", "word", end - 2, end)]
    if bare.endswith("'ve"):
        return [Token(bare[:-3], "word", start, end - 3), Token("have", "word", end - 3, end)]
    return [Token(bare.replace("'", "") if bare != "o'clock" else bare, "word", start, end)]
