"""Make ``forms.txt`` and ``english_pos.txt`` from the lexicon; a developer runs this, the program never does.

Run it as ``python grammars/make_forms.py`` when a lexicon file has changed. It needs lemminflect (inflections), the
index files of Princeton WordNet 3 (parts of speech; on Debian the package ``wordnet-base``) and the word lists of SCOWL
(Debian's ``scowl``). Both files come out sorted, and the same each time. Of entries of several words only the word that
is inflected has forms: the first of a verb, the last of a noun.
"""

from __future__ import annotations

import re
import sys
import tomllib
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any, Final

import lemminflect  # type: ignore[import-untyped]

HERE: Final = Path(__file__).resolve().parent
WORDNET: Final = Path("/usr/share/wordnet")
_VERBAL: Final = ("VB", "VBD", "VBG", "VBN", "VBZ")
SCOWL: Final = Path("/usr/share/dict/scowl")
#: The largest size of SCOWL's lists that is taken, and the words of those lists that are.
LARGEST: Final = 50
#: Words longer than this are not spoken at work; leaving them out keeps the file small.
_LONGEST: Final = 14
_PLAIN: Final = re.compile(r"[a-z]+")
#: Nouns that are plural as they stand, or never are.
_NO_PLURAL: Final = frozenset(
    ["goggles", "glasses", "scales", "pliers", "overalls", "trousers", "jeans", "thinners", "turps", "meths", "fumes",
     "people", "folk", "instructions", "dishes", "stairs", "heads", "ppe", "rh", "chandler's", "mdf", "muck", "else",
     "spirits", "humidity", "dew", "condensation", "dampness", "electricity", "bedding"]
)  # fmt: skip
_PARTICLES: Final = frozenset(["down", "up", "off", "back", "over", "out", "in", "on", "round", "together"])
#: Verbs in "l" whose last syllable is stressed, so that both sides of the Atlantic double it.
_STRESSED: Final = frozenset(
    ["repel", "compel", "expel", "propel", "control", "patrol", "install", "excel", "dispel", "instal", "fulfil"]
)
#: Verbs in "ise" that are never spelled with a "z".
_ALWAYS_S: Final = re.compile(
    r".*(?:[aou]i|v|pr|c|m)ise|(?:adv|exc|desp|disgu|comprom|merchand|franch|chast|advert|exerc|pract|comprom)ise"
)
_OFTEN_Z: Final = frozenset(["minimise", "economise", "randomise", "itemise", "customise", "optimise", "criticise"])
#: Forms that the library lacks or that only dialect has: form, lemma, tag.
KEPT: Final = """
    be be VB; am be VBZ; is be VBZ; are be VBZ; was be VBD; were be VBD; been be VBN; being be VBG
    have have VB; has have VBZ; had have VBD; had have VBN; having have VBG
    do do VB; does do VBZ; did do VBD; done do VBN; doing do VBG; done do VBD; dun do VBN
    gotten get VBN; gone go VBN; went go VBN; seen see VBD; come come VBD; give give VBD; gi'en give VBN
    laid lay VBD; laid lay VBN; layed lay VBD; layed lay VBN; hung hang VBD; hung hang VBN
    spilt spill VBD; spilt spill VBN; spoilt spoil VBD; spoilt spoil VBN; burnt burn VBD; burnt burn VBN
    learnt learn VBD; learnt learn VBN; smelt smell VBD; leant lean VBD; leapt leap VBD; dreamt dream VBD
    lit light VBD; lit light VBN; relit relight VBD; relit relight VBN; stuck stick VBD; stuck stick VBN
    restuck restick VBD; restuck restick VBN; rehung rehang VBD; rehung rehang VBN; overlaid overlay VBD
    bided bide VBD; bided bide VBN; blended blend VBD; blended blend VBN
    brung bring VBN; tooken take VBN; took take VBN; drunk drink VBD; run run VBD; ran run VBN; tret treat VBD
    knackered knacker VBN; vacced vac VBD; vacced vac VBN; vaccing vac VBG; vacs vac VBZ; catalyze catalyse VB
    bought buy VBD; bought buy VBN; boughten buy VBN; thunk think VBN; sod sod VB; etten eat VBN; et eat VBD
    gluing glue VBG; glueing glue VBG; sanded sand VBN; wet wet VBD; wetted wet VBD; wet wet VBN; wetted wet VBN
    fit fit VBD; fit fit VBN; fitted fit VBD; fitted fit VBN; refit refit VBD; refit refit VBN; put put VBD
    better good JJR; best good JJS; worse bad JJR; worst bad JJS; better well RBR; best well RBS
    drier dry JJR; driest dry JJS; dryer dry JJR; farther far JJR; farthest far JJS; further far JJR; furthest far JJS
    feet foot NNS; leaves leaf NNS; shelves shelf NNS; halves half NNS; knives knife NNS; loaves loaf NNS
    holidays holiday NNS; midges midge NNS; flies fly NNS; mice mouse NNS; geese goose NNS; teeth tooth NNS
"""
#: Forms that the dictionary has and nobody means: form and lemma.
_NOT_MEANT: Final = frozenset(
    ["staid stay", "staves stay", "boded bide", "blent blend", "bended bend", "betted bet", "costed cost",
     "teared tear", "winded wind", "unhanged unhang", "tieing tie", "swum swam", "hanged hang", "shined shine"]
)  # fmt: skip
_PREFIX: Final = re.compile(r"(re|un|over|pre|mis|under|de|cross|sand)(?=\w{3})")


def _flat(found: dict[str, tuple[str, ...]]) -> set[tuple[str, str]]:
    return {(form.lower(), tag) for tag, forms in found.items() for form in forms}


def _inflected(lemma: str, upos: str) -> set[tuple[str, str]]:
    """Give the forms of a lemma: the dictionary's, those of the word behind a prefix, or those the rules make."""
    found = _flat(lemminflect.getAllInflections(lemma, upos=upos))
    if found:
        return found
    if upos == "VERB" and (m := _PREFIX.match(lemma)):
        behind = _flat(lemminflect.getAllInflections(lemma[m.end() :], upos=upos))
        if behind:
            return {(m.group() + form, tag) for form, tag in behind}
    return _flat(lemminflect.getAllInflectionsOOV(lemma, upos=upos))


def _both_sides(lemma: str, forms: set[tuple[str, str]]) -> set[tuple[str, str]]:
    """Add the British or the American spelling of a form where the dictionary has only one."""
    out = set(forms)
    doubling = re.fullmatch(r".*[aeiouy].*[^aeiou][aeio]l", lemma) and lemma not in _STRESSED
    for form, tag in forms:
        if doubling and form in (lemma + "ed", lemma + "ing", lemma + "led", lemma + "ling"):
            ending = "ed" if form.endswith("ed") else "ing"
            out |= {(lemma + ending, tag), (lemma + "l" + ending, tag)}
        if lemma.endswith("ise") and len(lemma) > 5 and (lemma in _OFTEN_Z or not _ALWAYS_S.fullmatch(lemma)):
            out.add((lemma[:-3] + "iz" + form[len(lemma) - 1 :], tag))
    return out


def _verb_forms(head: str) -> set[tuple[str, str]]:
    forms = {(f, t) for f, t in _both_sides(head, _inflected(head, "VERB")) if t in _VERBAL}
    # Where the past is also the participle the dictionary gives it once.
    if not any(tag == "VBN" for _, tag in forms):
        forms |= {(form, "VBN") for form, tag in forms if tag == "VBD"}
    return forms | {(head, "VB")}


def _noun_forms(lemma: str) -> set[tuple[str, str]]:
    *before, last = lemma.split()
    whole = {(last, "NN")}
    if last in _NO_PLURAL or "'" in last or (last in _PARTICLES and before and before[-1].endswith("ing")):
        return whole
    plurals = {form for form, tag in _inflected(last, "NOUN") if tag == "NNS"}
    if last in plurals and last[-1] != "s":  # a mass noun, which people count all the same: "two tapes"
        made = {form for form, tag in _flat(lemminflect.getAllInflectionsOOV(last, upos="NOUN")) if tag == "NNS"}
        plurals = (plurals - {last}) or made
    return whole | {(form, "NNS") for form in plurals}


_ADVERBIAL: Final = frozenset(["manner", "frequency", "hedge", "almost", "only", "again", "certainty", "negative"])


def _describing_forms(lemma: str, sense: str) -> set[tuple[str, str]]:
    out = set[tuple[str, str]]()
    if " " not in lemma:
        out.add((lemma, "RB" if sense in _ADVERBIAL else "JJ"))
        found = _flat(lemminflect.getAllInflections(lemma, upos="ADJ"))
        if lemma.endswith("y") and not lemma.endswith("ly") and sense not in _ADVERBIAL and len(found) < 2:
            found = _flat(lemminflect.getAllInflectionsOOV(lemma, upos="ADJ"))  # "tackier" is in no dictionary
        out |= found
        if sense in _ADVERBIAL:
            out |= _flat(lemminflect.getAllInflections(lemma, upos="ADV"))
    return out


def _tables(name: str, key: str) -> list[dict[str, Any]]:
    with (HERE / name).open("rb") as file:
        rows: list[dict[str, Any]] = tomllib.load(file)[key]
    return rows


def forms() -> list[str]:
    """Give the lines of forms.txt: form, lemma and Penn tag."""
    found: set[tuple[str, str, str]] = set()

    def put(lemma: str, rows: Iterable[tuple[str, str]]) -> None:
        found.update((f, lemma, tag) for f, tag in rows if f"{f} {lemma}" not in _NOT_MEANT and "-" not in f)

    heads = {lemma.split()[0] for row in _tables("verbs.toml", "verb") for lemma in row["say"]}
    heads |= {lemma.split()[-1] for row in _tables("verbs.toml", "compound") for lemma in row["say"]}
    for head in heads:
        put(head, _verb_forms(head))
    for row in _tables("nouns.toml", "noun"):
        for lemma in row["say"]:
            put(lemma.split()[-1], _noun_forms(lemma))
    for row in _tables("describing.toml", "describing"):
        for lemma in row["say"]:
            put(lemma, _describing_forms(lemma, row["sense"]))
    for kept in KEPT.replace("\n", ";").split(";"):
        if kept.strip():
            form, lemma, tag = kept.split()
            found.add((form, lemma, tag))
    return [" ".join(row) for row in sorted(found)]


def _index(part: str) -> frozenset[str]:
    lines = (WORDNET / f"index.{part}").read_text(encoding="utf-8").splitlines()
    return frozenset(line.split(" ", 1)[0] for line in lines if line and line[0] != " ")


_PARTS: Final = {"n": ("noun", "NOUN"), "v": ("verb", "VERB"), "a": ("adj", "ADJ"), "r": ("adv", "ADV")}


_ENDINGS: Final = {"n": ("s",), "v": ("s", "ed", "ing"), "a": ("er", "est"), "r": ()}


def _by_ending(word: str, index: dict[str, frozenset[str]]) -> list[str]:
    """Give the letters of an inflected form that the library's dictionary lacks; short words are left alone."""
    out = []
    for letter, endings in _ENDINGS.items():
        if len(word) > 4 and endings and word.endswith(endings):
            lemmas = lemminflect.getAllLemmasOOV(word, upos=_PARTS[letter][1])
            if any(lemma in index[letter] for found in lemmas.values() for lemma in found):
                out.append(letter)
    return out


def _common(kept: frozenset[str]) -> list[str]:
    """Give the common words: SCOWL's English, British and American lists, and what ``kept`` has."""
    words = set(kept)
    for path in SCOWL.iterdir():
        name, _, size = path.name.partition(".")
        if name in _LISTS and int(size) <= LARGEST:
            found = path.read_text(encoding="latin-1").split()
            words |= {w for w in found if _PLAIN.fullmatch(w) and len(w) <= _LONGEST}
    return sorted(words)


_LISTS: Final = ("english-words", "british-words", "american-words")


def english_pos() -> list[str]:
    """Give the lines of english_pos.txt: a word, and the letters of what WordNet has it or its lemma as."""
    kept = frozenset((HERE / "english.txt").read_text(encoding="utf-8").split())
    words = _common(kept)
    index = {letter: _index(part) for letter, (part, _) in _PARTS.items()}
    out = []
    for word in words:
        lemmas = lemminflect.getAllLemmas(word)
        letters = [
            letter
            for letter, (_, upos) in _PARTS.items()
            if word in index[letter] or any(lemma in index[letter] for lemma in lemmas.get(upos, ()))
        ]
        letters = letters or _by_ending(word, index)
        if letters or word in kept:  # a rare word that no dictionary knows is as good as unknown
            out.append(f"{word} {''.join(letters)}".rstrip())
    return out


def _write(name: str, head: str, make: Callable[[], list[str]]) -> None:
    lines = make()
    (HERE / name).write_text("\n".join([head, *lines]) + "\n", encoding="utf-8")
    sys.stdout.write(f"{name}: {len(lines)} lines\n")


def main() -> None:
    """Write both files."""
    if not (WORDNET / "index.noun").exists():
        sys.exit(f"WordNet is not in {WORDNET}: install the package wordnet-base.")
    if not SCOWL.is_dir():
        sys.exit(f"SCOWL is not in {SCOWL}: install the package scowl.")
    _write("forms.txt", "# Made by make_forms.py (lemminflect): form, lemma, Penn tag.", forms)
    _write("english_pos.txt", "# Made by make_forms.py (SCOWL, WordNet 3.0, lemminflect): n v a r.", english_pos)


if __name__ == "__main__":
    main()
