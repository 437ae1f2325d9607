"""The likeliest property of a question that no row of the table fits, by weights fitted to labelled questions.

The table is exact and narrow: all the cues of a row must be there. People ask in more words than any table has. What a
question's cues have in common with those of some hundred others that were labelled by hand tells what it is after
often enough to answer, where the share of the likeliest is large; the answer repeats what it took to be asked. The
weights are data (``grammars/question_weights.json``, made by ``make_question_weights.py``), and nothing is random.
"""

from __future__ import annotations

import json
import math
from functools import cache
from typing import Any, Final

from assistant import data
from assistant.language.asking.cues import Cues
from assistant.language.query import Property, Stage

#: Cues that are about the words themselves count where they are of these classes.
_CLASSES: Final = ("do.", "noun.", "is.", "ask.", "mood.", "tense.", "has.", "word.", "of.")
#: Below this share the likeliest is no answer.
LEAST: Final = 0.35


def features(cues: Cues) -> frozenset[str]:
    """Give the cues of a question that its property is told by."""
    return frozenset(n for n, spans in cues.spans.items() if spans and n.startswith(_CLASSES))


@cache
def _table() -> dict[str, Any]:
    path = data.root() / "grammars" / "question_weights.json"
    table: dict[str, Any] = json.loads(path.read_text())
    return table


def likeliest(cues: Cues) -> tuple[Property, Stage | None, float] | None:
    """Give the likeliest property and stage with its share of all; None where it is none that can be resolved."""
    table = _table()
    known = [w for f in features(cues) if (w := table["weights"].get(f))]
    if not known:
        return None
    size = len(known) ** 0.5
    scores = dict(zip(table["labels"], table["bias"], strict=True))
    for weights in known:
        for label, weight in weights.items():
            scores[label] += weight / size
    top = max(scores.values())
    shares = {label: math.exp(score - top) for label, score in scores.items()}
    best = max(shares, key=lambda label: (shares[label], label))
    share = shares[best] / sum(shares.values())
    name, _, stage = best.partition(".")
    if name not in {p.value for p in Property}:
        return None
    return Property(name), Stage(stage) if stage else None, share
