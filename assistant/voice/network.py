"""A JSGF grammar as the smallest network of words that says the same.

The recogniser's own reader copies a rule for every mention of it: a grammar of six kilobytes became 170,000 lines of
network and cost six times the work. Here each rule is made into its smallest automaton once, and the whole is made
smallest again. Weights and tags are read over: what is likelier is for the reader to say, not for the ear.

https://www.w3.org/TR/jsgf/
"""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass
from typing import Final

from assistant.problem import Problem

_TOKEN: Final = re.compile(r"<[^>]*>|[^\s|()\[\]=;*+{}/<>]+|[|()\[\]=;*+]")
_RULE: Final = re.compile(r"(public\s+)?<([^>]+)>\s*=\s*([^;]*);")


@dataclass(frozen=True)
class Network:
    """States from 0, the start; ``steps[state]`` is word to next state; ``ends`` may end a sentence."""

    steps: tuple[dict[str, int], ...]
    ends: frozenset[int]

    @property
    def words(self) -> set[str]:
        """Every word of it."""
        return {w for step in self.steps for w in step}

    def accepts(self, text: str) -> bool:
        """Whether the whole text is a sentence."""
        return self._after(text) in self.ends

    def ends_at(self, text: str) -> bool:
        """Whether the whole text is a sentence, and no longer one begins with it."""
        state = self._after(text)
        return state in self.ends and not self.steps[state]

    def _after(self, text: str) -> int:
        """Give the state after ``text``, -1 if nothing begins with it."""
        state = 0
        for word in text.split():
            state = self.steps[state].get(word, -1) if state >= 0 else -1
        return state

    def without(self, words: set[str]) -> Network:
        """Give the network with no path through ``words``."""
        return Network(tuple({w: t for w, t in step.items() if w not in words} for step in self.steps), self.ends)

    def arcs(self) -> tuple[int, list[tuple[int, int, float] | tuple[int, int, float, str]]]:
        """Give the one final state and the transitions, as pocketsphinx's ``create_fsg`` takes them."""
        final = len(self.steps)
        arcs: list[tuple[int, int, float] | tuple[int, int, float, str]] = [
            (a, b, 1.0, word) for a, step in enumerate(self.steps) for word, b in sorted(step.items())
        ]
        arcs.extend((a, final, 1.0) for a in sorted(self.ends))
        return final, arcs


def compiled(jsgf: str, before: str = "") -> Network:
    """Make a grammar's network; ``before`` are words that may stand before any sentence, or alone."""
    text = re.sub(r"//[^\n]*|/\*.*?\*/", " ", jsgf, flags=re.DOTALL)
    text = re.sub(r"/[\d.eE+-]+/|\{[^}]*\}", " ", text.replace("#JSGF V1.0;", " "))
    found = _RULE.findall(text)
    public = [name for is_public, name, _ in found if is_public]
    if not public:
        raise Problem("the grammar has no public rule: this is a fault in grammars/")
    maker = _Maker({name.split(".")[-1]: body for _, name, body in found})
    body = " | ".join(f"<{name}>" for name in public)
    return maker.smallest(f"[ {before} ] [ {body} ]" if before else body)


class _Maker:
    """Makes automata of rules; each rule once."""

    def __init__(self, rules: dict[str, str]) -> None:
        self._rules = rules
        self._made: dict[str, Network] = {}
        self._making: list[str] = []

    def rule(self, name: str) -> Network:
        name = name.rsplit(".", maxsplit=1)[-1]
        if name == "NULL":
            return Network(({},), frozenset({0}))
        if name == "VOID":
            return Network(({},), frozenset())
        if name not in self._made:
            if name in self._making:
                raise Problem(f"the grammar's rule <{name}> contains itself: this is a fault in grammars/")
            if name not in self._rules:
                raise Problem(f"the grammar has no rule <{name}>: this is a fault in grammars/")
            self._making.append(name)
            self._made[name] = self.smallest(self._rules[name])
            self._making.pop()
        return self._made[name]

    def smallest(self, body: str) -> Network:
        loose = _Loose()
        end = _Reader(_TOKEN.findall(body), loose, self).alternatives(0)
        return _merged(_determined(loose, end))


class _Loose:
    """An automaton under construction: steps and free steps from state to states."""

    def __init__(self) -> None:
        self.steps: list[list[tuple[str, int]]] = [[]]
        self.free: list[list[int]] = [[]]

    def state(self) -> int:
        self.steps.append([])
        self.free.append([])
        return len(self.steps) - 1

    def put(self, network: Network, start: int) -> int:
        """Copy a network in after ``start`` and give where it ends."""
        at = [self.state() for _ in network.steps]
        end = self.state()
        self.free[start].append(at[0])
        for a, step in enumerate(network.steps):
            self.steps[at[a]].extend((word, at[b]) for word, b in step.items())
        for a in network.ends:
            self.free[at[a]].append(end)
        return end


class _Reader:
    """Reads the right side of a rule into a loose automaton: from a state, gives the state where it ends."""

    def __init__(self, tokens: list[str], into: _Loose, maker: _Maker) -> None:
        self._tokens, self._i, self._into, self._maker = tokens, 0, into, maker

    def alternatives(self, start: int) -> int:
        end = self._into.state()
        while True:
            self._into.free[self._sequence(start)].append(end)
            if self._peek() != "|":
                return end
            self._i += 1

    def _peek(self) -> str:
        return self._tokens[self._i] if self._i < len(self._tokens) else ""

    def _sequence(self, start: int) -> int:
        while (token := self._peek()) and token not in ("|", ")", "]"):
            self._i += 1
            first = self._into.state()
            self._into.free[start].append(first)
            end = self._item(token, first)
            mark = self._peek()
            if mark in ("*", "+"):
                self._i += 1
                self._into.free[end].append(first)
            if token == "[" or mark == "*":
                self._into.free[first].append(end)
            start = end
        return start

    def _item(self, token: str, start: int) -> int:
        if token in ("(", "["):
            end = self.alternatives(start)
            self._i += 1
            return end
        if token.startswith("<"):
            return self._into.put(self._maker.rule(token[1:-1].strip()), start)
        end = self._into.state()
        self._into.steps[start].append((token.strip('"'), end))
        return end


def _determined(loose: _Loose, end: int) -> Network:
    """Give each set of states that can be reached by the same words a state of its own."""

    def closed(states: set[int]) -> frozenset[int]:
        todo = list(states)
        while todo:
            for b in loose.free[todo.pop()]:
                if b not in states:
                    states.add(b)
                    todo.append(b)
        return frozenset(states)

    first = closed({0})
    number = {first: 0}
    steps: list[dict[str, int]] = []
    todo = [first]
    for now in todo:  # grows while it is gone through
        reached: dict[str, set[int]] = defaultdict(set)
        for a in now:
            for word, b in loose.steps[a]:
                reached[word].add(b)
        step = {}
        for word, states in reached.items():
            group = closed(states)
            if group not in number:
                number[group] = len(number)
                todo.append(group)
            step[word] = number[group]
        steps.append(step)
    return Network(tuple(steps), frozenset(n for group, n in number.items() if end in group))


def _merged(network: Network) -> Network:
    """Make one of all states that what follows cannot tell apart (Moore's algorithm)."""
    kind = [int(a in network.ends) for a in range(len(network.steps))]
    count = 0
    while count != (count := len(set(kind))):
        seen: dict[tuple[int, frozenset[tuple[str, int]]], int] = {}
        kind = [
            seen.setdefault((kind[a], frozenset((w, kind[b]) for w, b in step.items())), len(seen))
            for a, step in enumerate(network.steps)
        ]
    order = {kind[0]: 0}
    for k in kind:
        order.setdefault(k, len(order))
    steps: list[dict[str, int]] = [{} for _ in order]
    for a, step in enumerate(network.steps):
        steps[order[kind[a]]] = {w: order[kind[b]] for w, b in step.items()}
    return Network(tuple(steps), frozenset(order[kind[a]] for a in network.ends))
