"""Plain forms of English words, by endings and a short list of irregular ones: enough for these tests' sentences."""

from __future__ import annotations

import re

IRREGULAR = {
    "got": "get",
    "gotten": "get",
    "drank": "drink",
    "drunk": "drink",
    "ate": "eat",
    "eaten": "eat",
    "spilt": "spill",
    "burnt": "burn",
    "swollen": "swell",
    "swelled": "swell",
    "stuck": "stick",
    "stung": "sting",
    "ran": "run",
    "bled": "bleed",
    "caught": "catch",
    "went": "go",
    "gone": "go",
    "was": "be",
    "is": "be",
    "are": "be",
    "am": "be",
    "were": "be",
    "been": "be",
    "has": "have",
    "had": "have",
    "feet": "foot",
    "children": "child",
    "kids": "kid",
    "left": "leave",
    "threw": "throw",
    "felt": "feel",
    "lit": "light",
    "slept": "sleep",
    "breathed": "breathe",
    "kept": "keep",
    "did": "do",
    "does": "do",
    "dried": "dry",
    "made": "make",
    "came": "come",
    "flew": "fly",
    "laid": "lay",
    "put": "put",
    "cut": "cut",
    "wet": "wet",
    "dust": "dust",
    "this": "this",
    "his": "his",
    "i'm": "i be",
    "i've": "i have",
    "it's": "it be",
    "that's": "that be",
    "can't": "can not",
    "won't": "will not",
    "don't": "do not",
    "what's": "what be",
    "hands": "hand",
    "he's": "he be",
    "she's": "she be",
    "there's": "there be",
    "isn't": "be not",
    "didn't": "do not",
    "doesn't": "do not",
    "stood": "stand",
    "gave": "give",
    "given": "give",
    "shook": "shake",
    "shaken": "shake",
    "took": "take",
    "fallen": "fall",
    "held": "hold",
    "thinnest": "thin",
    "thicker": "thick",
    "smoother": "smooth",
    "finer": "fine",
    "coarser": "coarse",
    "colder": "cold",
    "goes": "go",
    "dries": "dry",
    "better": "good",
    "best": "good",
    "tore": "tear",
    "bit": "bit",
    "fumes": "fume",
    "eyes": "eye",
    "lumpy": "lumpy",
    "struck": "strike",
    "sprung": "spring",
    "hung": "hang",
    "wore": "wear",
    "broke": "break",
    "woken": "wake",
    "passed": "pass",
    "used": "use",
    "forgot": "forget",
    "shrunk": "shrink",
    "frozen": "freeze",
    "froze": "freeze",
    "hid": "hide",
}


def lemmas(sentence: str, known: frozenset[str]) -> frozenset[str]:
    """Give the plain forms of a sentence's words; ``known`` decides between the forms that an ending allows."""
    out: set[str] = set()
    for word in re.findall(r"[a-z']+", sentence.lower().replace("’", "'").replace("-", " ")):
        for form in IRREGULAR.get(word, word).split():
            out.add(form if form != word else _plain(word.removesuffix("'s"), known))
    return frozenset(out)


def _plain(word: str, known: frozenset[str]) -> str:
    if word in IRREGULAR:
        return IRREGULAR[word]
    forms = [word]
    for end, more in (
        ("ies", "y"),
        ("es", ""),
        ("s", ""),
        ("ied", "y"),
        ("ed", ""),
        ("ed", "e"),
        ("ing", ""),
        ("ing", "e"),
    ):
        if word.endswith(end) and len(word) - len(end) > 1:
            stem = word.removesuffix(end)
            forms.append(stem + more)
            if not more and len(stem) > 3 and stem[-1] == stem[-2]:
                forms.append(stem[:-1])
    return next((form for form in forms if form in known), word)
