"""The way of a circuit from its sources to its apparatus, as a tree that can be drawn.

Runs are followed from the sources. What a tree cannot show (a ring, a run that no source
reaches) is kept beside it in words, so that nothing of the circuit is lost.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Literal

from subspark.papers.drawings.facts import CircuitFacts
from subspark.papers.drawings.words import say

__all__ = ["Node", "leaves", "pruned", "tree_of"]


@dataclass(slots=True, eq=False)
class Node:
    """A point of the circuit: the sources, a box or an apparatus.

    ``run`` is the run that leads to it (None where none is recorded), ``flags`` are further runs
    and remarks in words, ``cut`` says that some of what hangs on it is on another sheet,
    ``short`` that it is told in full on another one. A box that an apparatus feeds stands by
    itself, and ``origin`` names that apparatus.
    """

    sort: Literal["root", "box", "member"]
    name: str = ""
    member: int = -1
    run: int | None = None
    words: str = ""
    flags: list[str] = field(default_factory=list)
    children: list[Node] = field(default_factory=list)
    cut: bool = False
    short: bool = False
    origin: str = ""


def leaves(node: Node) -> Iterator[Node]:
    """The rows of a drawing: every apparatus, and every box on which nothing hangs."""
    if node.sort == "member" or (node.sort == "box" and not node.children):
        yield node
    for child in node.children:
        yield from leaves(child)


def pruned(node: Node, keep: set[int]) -> Node | None:
    """The part of a tree that holds some of its rows, named by their ``id``; None if none."""
    children = [one for child in node.children if (one := pruned(child, keep)) is not None]
    is_leaf = node.sort == "member" or not node.children
    if not children and node.sort != "root" and not (is_leaf and id(node) in keep):
        return None
    short = node.sort == "member" and id(node) not in keep
    return dataclasses.replace(
        node,
        flags=[] if short else node.flags,
        children=children,
        cut=len(children) < len(node.children),
        short=short,
    )


class _Grower:
    def __init__(self, facts: CircuitFacts) -> None:
        self.facts = facts
        self.root = Node("root")
        self.nodes: dict[str, Node] = {}
        self.origins = {one.tag for one in facts.sources} | {
            one.cabinet for one in facts.sources if one.cabinet
        }
        self.members: dict[str, int] = {}
        for nth, one in enumerate(facts.members):
            if one.named:
                self.members.setdefault(one.tag, nth)

    def ends(self) -> list[tuple[str, str]]:
        """Both ends of every run by name; those not stated are made up in order."""
        out: list[tuple[str, str]] = []
        before, count = "", len(self.facts.runs)
        for nth, run in enumerate(self.facts.runs):
            start = run.start or before
            end = run.end or (self._last_end(start) if nth == count - 1 else f"point {nth + 1}")
            out.append((start, end))
            before = end
        return out

    def _last_end(self, start: str) -> str:
        named = {run.end for run in self.facts.runs} | {start}
        for nth, one in enumerate(self.facts.members):
            if one.tag not in named:
                self.members.setdefault(one.tag, nth)
                return one.tag
        return "end"

    def grow(self) -> Node:
        """Follow the runs from the sources, then join what was not reached."""
        waiting = list(enumerate(self.ends()))
        reached: dict[str, Node] = dict.fromkeys(self.origins | {""}, self.root)
        while waiting:
            nth = next(
                (i for i, (_, (start, _)) in enumerate(waiting) if start in reached),
                next((i for i, (_, (_, end)) in enumerate(waiting) if end in reached), None),
            )
            if nth is None:
                self._stray(waiting, reached)
                continue
            run, (start, end) = waiting.pop(nth)
            if start not in reached:
                start, end = end, start
            if end in reached:
                self._flag(reached[start], reached[end], self.facts.runs[run].label)
                continue
            node = self._node(end)
            node.run = run
            reached[end] = node
            reached[start].children.append(node)
        self._hang(reached)
        self._lift(self.root, self.root)
        _order(self.root)
        return self.root

    def _lift(self, node: Node, holder: Node) -> None:
        """Move boxes that an apparatus feeds to the box or source before it."""
        kept: list[Node] = []
        for child in list(node.children):
            self._lift(child, holder if child.sort == "member" else child)
            if node.sort == "member" and child.sort == "box":
                child.origin = node.name
                holder.children.append(child)
            else:
                kept.append(child)
        if node.sort == "member":
            node.children = kept

    def _flag(self, start: Node, end: Node, run: str) -> None:
        """A run between two points that are both drawn already, told in words."""
        source = say("source")
        if start.sort == "root" and end.sort != "root":
            start, end = end, start
        start.flags.append(say("to", what=end.name or source, run=run))

    def _node(self, name: str) -> Node:
        nth = self.members.get(name)
        return Node("box", name) if nth is None else Node("member", name, nth)

    def _stray(self, waiting: list[tuple[int, tuple[str, str]]], reached: dict[str, Node]) -> None:
        """A run that nothing leads to: its start is shown, not joined to the source."""
        start = waiting[0][1][0]
        node = self._node(start)
        node.words = say("not joined")
        reached[start] = node
        self.root.children.append(node)

    def _hang(self, reached: dict[str, Node]) -> None:
        """Apparatus without a cable of its own hangs where the last run ends."""
        shown = {one.member for one in reached.values()}
        last = next(
            (one for one in reversed(list(reached.values())) if one.sort != "root"), self.root
        )
        while last.sort == "box" and len(last.children) == 1 and last.children[0].run is not None:
            last = last.children[0]
        for nth, member in enumerate(self.facts.members):
            if nth not in shown:
                words = say("no cable recorded", tag=member.tag)
                last.children.append(Node("member", member.tag, nth, words=words))


def _order(node: Node) -> None:
    """Apparatus of a box before the boxes that it feeds, as they are drawn."""
    if node.sort == "box":
        node.children.sort(key=lambda child: child.sort == "box")
    for child in node.children:
        _order(child)


def tree_of(facts: CircuitFacts) -> Node:
    """The tree of a circuit, from the root that stands for its sources.

    Parameters
    ----------
    facts : CircuitFacts
        The circuit.

    Returns
    -------
    Node
        The root; every run is the ``run`` of one node or named in a flag, and every apparatus
        is a node.
    """
    return _Grower(facts).grow()
