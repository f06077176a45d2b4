"""A book of cases: each entered once, judged in blocks, found again by its place."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

import numpy as np

from subspark.assess.columns import Block, blocks_of
from subspark.assess.engine import NO_RULE, judge, part
from subspark.assess.rows import Case
from subspark.physics.ignition import Curves
from subspark.rules import RULES, Code, Columns, Verdict

__all__ = ["CaseBook", "comparable"]


def comparable(used: float) -> float:
    """Utilisation for ranking: none below zero, and equal where it differs by rounding only."""
    return -1.0 if math.isnan(used) else float(f"{used:.12g}")


class CaseBook:
    """Cases and what the rules say of them, by place."""

    def __init__(self, code: Code, curves: Curves) -> None:
        self.code = code
        self.curves = curves
        self.cases: list[Case] = []
        self.verdicts = np.zeros((len(RULES), 0), dtype=np.uint8)
        self.verdict = np.zeros(0, dtype=np.uint8)
        self.governing = np.zeros(0, dtype=np.uint8)
        self.utilisation = np.zeros(0)
        self._blocks: list[Block] = []
        self._at: list[tuple[int, int]] = []

    def enter(self, cases: Iterable[Case]) -> range:
        """Judge cases and keep them; their places are returned."""
        fresh = list(cases)
        start, count = len(self.cases), len(fresh)
        self.cases.extend(fresh)
        self._at.extend([(0, 0)] * count)
        verdicts = np.zeros((len(RULES), count), dtype=np.uint8)
        verdict = np.zeros(count, dtype=np.uint8)
        governing = np.zeros(count, dtype=np.uint8)
        utilisation = np.full(count, np.nan)
        for block in blocks_of(fresh, self.code, self.curves):
            judged = judge(block.columns)
            verdicts[:, block.places] = judged.verdicts
            verdict[block.places] = judged.verdict
            governing[block.places] = judged.governing
            utilisation[block.places] = judged.utilisation
            for position, place in enumerate(block.places.tolist()):
                self._at[start + place] = (len(self._blocks), position)
            self._blocks.append(block)
        self.verdicts = np.concatenate([self.verdicts, verdicts], axis=1)
        self.verdict = np.concatenate([self.verdict, verdict])
        self.governing = np.concatenate([self.governing, governing])
        self.utilisation = np.concatenate([self.utilisation, utilisation])
        return range(start, start + count)

    def columns(self, place: int) -> Columns:
        """Columns of one case alone."""
        number, position = self._at[place]
        return part(self._blocks[number].columns, slice(position, position + 1))

    def rule_name(self, place: int) -> str:
        """Name of the governing rule of a case; blank where none asks anything."""
        index = int(self.governing[place])
        return "" if index == NO_RULE else RULES[index].name

    def worst(self, places: Sequence[int]) -> int:
        """The governing case: worst verdict, largest utilisation of its rule, first entered."""
        return max(
            places,
            key=lambda place: (
                int(self.verdict[place]),
                comparable(float(self.utilisation[place])),
                -place,
            ),
        )

    def badness(self, places: Sequence[int]) -> tuple[int, int, int]:
        """How far a choice of alternatives fails: verdict, rules unsafe, rules unproven."""
        listed = list(places)
        said = self.verdicts[:, listed]
        return (
            int(self.verdict[listed].max()),
            int((said == Verdict.UNSAFE).any(axis=1).sum()),
            int((said == Verdict.UNPROVEN).any(axis=1).sum()),
        )
