"""Fits the weights by which a question that no row of ``questions.toml`` fits is given its likeliest property.

Reads ``tests/fixtures/questions/labelled.tsv`` (label, tab, question), cuts each question into its cues and fits a
multinomial logistic regression with an L2 penalty by plain gradient descent; writes ``question_weights.json``. Run it
after the labelled questions or the cues have changed: ``python grammars/make_question_weights.py``. With ``--check`` it
prints, by five-fold cross-validation, how often the likeliest property is the right one at several least shares.
"""

from __future__ import annotations

import json
import sys
from collections import Counter
from pathlib import Path

import numpy as np

from assistant.language import vocabulary
from assistant.language.asking.cues import cues_of
from assistant.language.asking.forms import formed
from assistant.language.asking.likely import features
from assistant.language.asking.slots import slots_of
from assistant.language.chunks import cut
from assistant.language.items import itemised
from assistant.library.catalogue import Library
from assistant.turn import Session

_HERE = Path(__file__).resolve().parent
_LABELLED = _HERE.parent / "tests" / "fixtures" / "questions" / "labelled.tsv"
_LEAST = 2  # a feature of fewer questions than this tells nothing
_PENALTY, _STEPS, _RATE = 0.004, 3000, 4.0


def questions() -> list[tuple[str, frozenset[str]]]:
    """Give the label and the features of each question, cut with the names of the example job."""
    import tempfile
    from datetime import UTC, datetime

    with tempfile.TemporaryDirectory() as folder, Session.open(Path(folder) / "job") as session:
        session.load(_HERE.parent / "examples" / "linnet.toml", datetime(2026, 3, 16, 8, tzinfo=UTC))
        names = vocabulary.gazetteer(session.state, Library(session.state.labels))
    out = []
    for line in _LABELLED.read_text().splitlines():
        label, _, text = line.partition("\t")
        phrase = cut(text, names)
        if not phrase.words or label.removeprefix("F ") in ("why", "other"):
            continue
        items, cues = itemised(phrase), cues_of(phrase)
        formed(phrase, items, slots_of(phrase, items, cues), cues)
        out.append((label.removeprefix("F "), features(cues)))
    return out


def fitted(rows: list[tuple[str, frozenset[str]]]) -> tuple[list[str], list[str], np.ndarray, np.ndarray]:
    """Give the labels, the features, the weights (labels x features) and the biases."""
    counts = Counter(f for _, fs in rows for f in fs)
    names = sorted(f for f, n in counts.items() if n >= _LEAST)
    labels = sorted({label for label, _ in rows})
    at, of = {f: k for k, f in enumerate(names)}, {label: k for k, label in enumerate(labels)}
    x, y = np.zeros((len(rows), len(names))), np.zeros((len(rows), len(labels)))
    for k, (label, fs) in enumerate(rows):
        y[k, of[label]] = 1.0
        known = [at[f] for f in fs if f in at]
        x[k, known] = 1.0 / max(1.0, len(known)) ** 0.5
    weights, bias = np.zeros((len(labels), len(names))), np.zeros(len(labels))
    for _ in range(_STEPS):
        scores = x @ weights.T + bias
        scores -= scores.max(axis=1, keepdims=True)
        share = np.exp(scores)
        share /= share.sum(axis=1, keepdims=True)
        off = (share - y) / len(rows)
        weights -= _RATE * (off.T @ x + _PENALTY * weights / 10)
        bias -= _RATE * off.sum(axis=0)
    return labels, names, weights, bias


def _shares(model: tuple[list[str], list[str], np.ndarray, np.ndarray], fs: frozenset[str]) -> tuple[str, float]:
    labels, names, weights, bias = model
    at = {f: k for k, f in enumerate(names)}
    known = [at[f] for f in fs if f in at]
    scores = bias + weights[:, known].sum(axis=1) / max(1.0, len(known)) ** 0.5
    share = np.exp(scores - scores.max())
    share /= share.sum()
    best = int(share.argmax())
    return labels[best], float(share[best])


def check(rows: list[tuple[str, frozenset[str]]]) -> None:
    """Print how often the likeliest label is right, by five-fold cross-validation."""
    found: list[tuple[float, bool]] = []
    for fold in range(5):
        model = fitted([r for k, r in enumerate(rows) if k % 5 != fold])
        for k, (label, fs) in enumerate(rows):
            if k % 5 == fold:
                said, share = _shares(model, fs)
                found.append((share, said == label))
    for least in (0.0, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7):
        kept = [right for share, right in found if share >= least]
        print(  # noqa: T201
            f"least {least:.1f}: {len(kept)} of {len(found)} answered, {sum(kept) / max(1, len(kept)):.2f} right"
        )


def main() -> None:
    """Fit and write, or check."""
    rows = questions()
    if "--check" in sys.argv:
        check(rows)
        return
    labels, names, weights, bias = fitted(rows)
    table = {
        "labels": labels, "bias": [round(float(b), 3) for b in bias],
        "weights": {
            f: {labels[k]: round(float(w), 2) for k, w in enumerate(weights[:, n]) if abs(w) >= 0.05}
            for n, f in enumerate(names)
        },
    }  # fmt: skip
    (_HERE / "question_weights.json").write_text(json.dumps(table, separators=(",", ":"), sort_keys=True) + "\n")


if __name__ == "__main__":
    main()
