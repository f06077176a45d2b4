"""Rules on columns of n cases against m candidates equal the same rules one by one, bit for bit.

Source: own engineering. The columns are those of the demo plant and of random circuits.
"""

import dataclasses
import random

import numpy as np
import pytest

from baseline import cable, plant, simple, source, transmitter
from subspark.assess.cases import expand
from subspark.assess.columns import blocks_of
from subspark.assess.context import Context
from subspark.assess.engine import part
from subspark.demo import build_plant
from subspark.model import Member, Run
from subspark.rules import RULES, Columns, settle
from subspark.rules.columns import total

SINGLE = ("code", "memo", "segments")


def blocks(built):
    context = Context.of(built)
    cases = [
        case
        for index, circuit in enumerate(built.circuits)
        for case in expand(index, circuit, context)
    ]
    return [block.columns for block in blocks_of(cases, context.code, context.curves)]


@pytest.fixture(scope="module")
def demo_blocks():
    found = [one for one in blocks(build_plant()) if getattr(one, "segments", None) is None]
    return sorted(found, key=lambda one: -one.U.shape[0])[:6]


def fields_of(columns: Columns) -> dict[str, np.ndarray]:
    return {
        one.name: getattr(columns, one.name)
        for one in dataclasses.fields(columns)
        if one.name not in SINGLE
    }


SOURCE_SIDE = {
    "U", "I", "P", "Co", "Lo", "Lo_Ro", "half_cap", "pair_Co", "pair_Lo", "paired", "linear",
    "together", "source_C", "source_L", "permitted", "calculated", "level",
}  # fmt: skip


def crossed(columns: Columns, n: int, m: int) -> tuple[Columns, list[list[Columns]]]:
    """N cases against the source sides of m cases: as one grid, and as n x m single columns."""
    held = fields_of(columns)
    grid = {
        name: values[..., None, :m] if name in SOURCE_SIDE else values[..., :n, None]
        for name, values in held.items()
    }
    singles = [
        [
            Columns(
                code=columns.code,
                **{
                    name: values[..., j : j + 1] if name in SOURCE_SIDE else values[..., i : i + 1]
                    for name, values in held.items()
                },
            )
            for j in range(m)
        ]
        for i in range(n)
    ]
    return Columns(code=columns.code, **grid), singles


def same(one: np.ndarray, other: np.ndarray) -> bool:
    return np.array_equal(one, other, equal_nan=one.dtype.kind == "f")


@pytest.mark.parametrize("rule", RULES, ids=lambda one: one.name)
def test_a_grid_of_cases_and_candidates_equals_one_by_one(demo_blocks, rule):
    for columns in demo_blocks:
        n = m = min(5, columns.U.shape[0])
        grid, singles = crossed(columns, n, m)
        with np.errstate(all="ignore"):
            whole = settle(rule.evaluate(grid), rule.sort == "quantity")
            said = np.broadcast_to(whole.verdict, (n, m))
            used = np.broadcast_to(whole.utilisation, (n, m))
            for i in range(n):
                for j in range(m):
                    alone = settle(rule.evaluate(singles[i][j]), rule.sort == "quantity")
                    assert said[i, j] == alone.verdict[0], (i, j)
                    assert same(used[i, j][None], alone.utilisation[:1]), (i, j)


@pytest.mark.parametrize("rule", RULES, ids=lambda one: one.name)
def test_a_column_equals_its_cases_one_by_one(demo_blocks, rule):
    for columns in demo_blocks:
        with np.errstate(all="ignore"):
            quantity = rule.sort == "quantity"
            whole = settle(rule.evaluate(part(columns, slice(None))), quantity)
            for i in range(min(40, columns.U.shape[0])):
                alone = settle(rule.evaluate(part(columns, slice(i, i + 1))), quantity)
                at = i if whole.verdict.shape[0] > 1 else 0
                assert whole.verdict[at] == alone.verdict[0]
                assert same(whole.utilisation[at : at + 1], alone.utilisation[:1])


def test_no_rule_changes_its_columns(demo_blocks):
    for columns in demo_blocks:
        before = {name: values.copy() for name, values in fields_of(columns).items()}
        fresh = part(columns, slice(None))
        with np.errstate(all="ignore"):
            for rule in RULES:
                settle(rule.evaluate(fresh))
        for name, values in fields_of(columns).items():
            assert same(values, before[name]), name


def test_sums_do_not_depend_on_how_many_cases_there_are():
    """NumPy adds eight and more members in another order where there is one case only."""
    rng = np.random.default_rng(3)
    members = rng.uniform(0.0, 1.0, (23, 50))
    whole = total(members)
    for i in range(50):
        assert total(members[:, i : i + 1])[0] == whole[i]
    assert total(np.zeros((0, 4))).tolist() == [0.0] * 4
    assert total(members[:1]).tolist() == members[0].tolist()


def many_members(seed: int):
    """Circuits with many apparatus and runs, and with several sources."""
    rng = random.Random(seed)
    weak = {"Io": "5 mA", "Po": "35 mW", "polarity": "+", "mark": "[Ex ib Gb] IIC"}
    sources = [source(f"S{i}", **weak) for i in range(rng.choice([1, 1, 3, 8]))]
    items = [transmitter("T1", Ci="1 nF", Li="1 µH"), simple(), transmitter("T2")]
    base = plant(sources=sources, items=items, cables=[cable()])
    circuits = tuple(
        dataclasses.replace(
            base.circuits[0],
            tag=f"C{i}",
            members=tuple(Member(apparatus=("T1", "P1", "T2")[k % 3]) for k in range(13)),
            runs=tuple(Run(cable="K1", length=rng.uniform(1.0, 30.0)) for _ in range(17)),
        )
        for i in range(20)
    )
    return dataclasses.replace(base, circuits=circuits)


@pytest.mark.parametrize("seed", [1, 2, 3, 4])
def test_circuits_with_many_members_equal_one_by_one(seed):
    for columns in blocks(many_members(seed)):
        with np.errstate(all="ignore"):
            for rule in RULES:
                whole = settle(rule.evaluate(part(columns, slice(None))))
                for i in range(columns.U.shape[0]):
                    alone = settle(rule.evaluate(part(columns, slice(i, i + 1))))
                    at = i if whole.verdict.shape[0] > 1 else 0
                    assert whole.verdict[at] == alone.verdict[0]
                    assert same(whole.utilisation[at : at + 1], alone.utilisation[:1]), rule.name
