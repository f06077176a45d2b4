"""Two programs, one verdict: engine and oracle on random circuits of function, kind by kind.

The oracle works in exact fractions from the text of the rules. Figures are also made worse: a
circuit that is not shown to work never comes to work by figures that are known less well.
"""

from __future__ import annotations

import re
from collections import Counter

import pytest

from assess.function.circuits import Figures, judge_all
from oracle.function_draws import KINDS as DRIVEN
from oracle.function_draws_loops import KINDS as LOOPS
from oracle.function_draws_sensors import KINDS as SENSING
from oracle.function_figures import Draw
from subspark.assess.function.findings import word
from subspark.model import TERMS
from subspark.quantity import Kind

KINDS = {**DRIVEN, **SENSING, **LOOPS}
MANY = 500
FEWER = 150
QUANTITIES = {word: kind for word, term in TERMS.items() if isinstance(kind := term.values, Kind)}
LEFT = {word for word in TERMS if word not in QUANTITIES or QUANTITIES[word].signed}
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:e-?\d+)?")


@pytest.mark.parametrize("kind", KINDS)
def test_engine_and_oracle_agree(kind):
    draw = Draw(20260401)
    made = [KINDS[kind](draw) for _ in range(MANY)]
    found = judge_all([asked for asked, _ in made])
    differ, words = [], Counter()
    for n, (asked, expected) in enumerate(made):
        said = word(found.verdict(f"C{n}"))
        words[said] += 1
        if said != expected:
            differ.append((n, said, expected, asked))
    assert not differ, f"{len(differ)} differ, the first: {differ[0]}"
    assert found.kinds == {kind}
    assert min(words[one] for one in ("works", "fails", "unproven")) >= MANY // 50, words


def widened(figures: Figures) -> Figures:
    """Every figure with 3 % more tolerance at either end; tables stay as they are."""
    out = {}
    for name, value in figures.items():
        if not isinstance(value, str):
            out[name] = value
            continue
        numbers = NUMBER.findall(value)
        if not numbers or name in LEFT or name == "pull-in voltage at 20 °C":
            out[name] = value
            continue
        unit = value.rsplit(numbers[-1], 1)[1]
        low, high = float(numbers[0]) * 0.97, float(numbers[-1]) * 1.03
        out[name] = f"{low:.12g} to {high:.12g}{unit}"
    return out


@pytest.mark.parametrize("kind", KINDS)
def test_figures_known_less_well_never_make_a_circuit_work(kind):
    draw = Draw(7, lost=0.0)
    before = [KINDS[kind](draw)[0] for _ in range(FEWER)]
    after = [
        one._replace(
            source=widened(one.source),
            devices=[widened(device) for device in one.devices],
            own=widened(one.own),
        )
        for one in before
    ]
    first, then = judge_all(before), judge_all(after)
    tags = [f"C{n}" for n in range(FEWER)]
    moved = Counter((word(first.verdict(tag)), word(then.verdict(tag))) for tag in tags)
    assert not [pair for pair in moved if pair[1] == "works" and pair[0] != "works"], moved
    assert moved["works", "works"] > 0
    assert moved["works", "fails"] > 0
