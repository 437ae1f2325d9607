"""A phrase cut into words, with where each stood.

Written and spoken forms are brought together here: "750ml" is two words, "twenty-five" is two,
"P240" is two, but "20:15", "2:1", "1/2" and "2nd" stay whole because the pieces mean
nothing apart.
"""

from __future__ import annotations

import re
import unicodedata
from typing import Final, NamedTuple

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


#: Contractions that would hide two words of different use.
_OPEN: Final = {
    "when's": ("when", "is"),
    "what's": ("what", "is"),
    "how's": ("how", "is"),
    "where's": ("where", "is"),
    "whats": ("what", "is"),
    "hows": ("how", "is"),
    "whens": ("when", "is"),
    "can't": ("can", "not"),
    "cannot": ("can", "not"),
    "isn't": ("is", "not"),
    "didn't": ("did", "not"),
    "haven't": ("have", "not"),
    "hasn't": ("has", "not"),
    "won't": ("will", "not"),
    "don't": ("do", "not"),
    "didnt": ("did", "not"),
    "havent": ("have", "not"),
    "dont": ("do", "not"),
    "wasn't": ("was", "not"),
    "cant": ("can", "not"),
    "shouldn't": ("should", "not"),
    "couldn't": ("could", "not"),
    "wouldn't": ("would", "not"),
    "i'll": ("i", "will"),
    "it'll": ("it", "will"),
    "we'll": ("we", "will"),
    "gonna": ("going", "to"),
    "gotta": ("got", "to"),
    "wanna": ("want", "to"),
    "i'd": ("i", "would"),
    "aren't": ("are", "not"),
    "doesn't": ("does", "not"),
    "who's": ("who", "is"),
    "it's": ("it", "is"),
    "there's": ("there", "is"),
    "that's": ("that", "is"),
    "i'm": ("i", "am"),
    "they're": ("they", "are"),
    "i've": ("i", "have"),
    "we've": ("we", "have"),
    "they've": ("they", "have"),
    "let's": ("let", "us"),
    "theres": ("there", "is"),
    "ive": ("i", "have"),
    "we're": ("we", "are"),
    "they'll": ("they", "will"),
    "thats": ("that", "is"),
    "itll": ("it", "will"),
    "thatll": ("that", "will"),
    "hes": ("he", "is"),
    "shes": ("she", "is"),
    "theyre": ("they", "are"),
    "im": ("i", "am"),
    "wasnt": ("was", "not"),
    "isnt": ("is", "not"),
    "doesnt": ("does", "not"),
    "couldnt": ("could", "not"),
    "wouldnt": ("would", "not"),
    "shouldnt": ("should", "not"),
    "arent": ("are", "not"),
    "werent": ("were", "not"),
    "weren't": ("were", "not"),
    "hadnt": ("had", "not"),
    "hadn't": ("had", "not"),
    "hasnt": ("has", "not"),
    "wont": ("will", "not"),
    "theyve": ("they", "have"),
    "weve": ("we", "have"),
    "youre": ("you", "are"),
    "youve": ("you", "have"),
    "o'clock": ("o'clock",),
    "o'": ("of",),
    "th'": ("the",),
    "t'": ("the",),
    "wi'": ("with",),
    "an'": ("and",),
    "em": ("them",),
    "nah": ("no",),
    "nope": ("no",),
    "wi": ("with",),
    "w": ("with",),
    "hafta": ("have", "to"),
}


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
    if piece in _OPEN:
        return [Token(w, "word", start, end) for w in _OPEN[piece]]
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
