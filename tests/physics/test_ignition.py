"""The look-up in the ignition curves: its rules, and reading a table of one's own."""

import bisect
import csv
import hashlib
import math
from concurrent.futures import ThreadPoolExecutor
from importlib.resources import files

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from subspark.errors import InputError
from subspark.physics import ignition
from subspark.physics.ignition import (
    CAPACITANCE,
    CURRENT,
    GROUP_I,
    IIA,
    IIB,
    IIC,
    column_of,
    load_curves,
    standard_curves,
)

QUANTITIES = (CURRENT, CAPACITANCE)
GROUPS = {"I": GROUP_I, "IIA": IIA, "IIB": IIB, "IIC": IIC}
UNIT_COLUMN = {CURRENT: "current_mA", CAPACITANCE: "capacitance_uF"}
DATA = files("subspark.physics") / "data"


def lookup(quantity):
    return getattr(standard_curves(), f"permitted_{quantity}")


def lines_of(quantity):
    text = (DATA / f"ignition-{quantity}.csv").read_text(encoding="utf-8")
    return [line for line in text.splitlines() if not line.startswith("#")]


def rows_of(quantity):
    return list(csv.DictReader(lines_of(quantity)))


def plain_tables(quantity):
    """Read the file as a person would: {(group, factor): [(volts, value as printed)]}."""
    tables = {}
    for row in rows_of(quantity):
        key = (GROUPS[row["group"]], float(row["safety_factor"]))
        cell = (float(row["voltage_V"]), float(row[UNIT_COLUMN[quantity]]))
        tables.setdefault(key, []).append(cell)
    return {key: sorted(cells) for key, cells in tables.items()}


def plain_lookup(tables, scale, U, spark, factor):
    """Apply the rules to one point, with lists and ifs: the oracle of the array look-up."""
    if math.isnan(U) or U < 0:
        return math.nan
    if (spark, factor) not in tables:
        return math.nan
    for group in range(spark, IIC + 1):
        cells = tables.get((group, factor), [])
        place = bisect.bisect_left([volts for volts, _ in cells], U * (1 - 1e-12))
        if place < len(cells):
            return cells[place][1] / scale
    return math.nan


SCALE = {CURRENT: 1e3, CAPACITANCE: 1e6}
TABLES = {quantity: plain_tables(quantity) for quantity in QUANTITIES}


# --- the data ---------------------------------------------------------------------------------


def test_values_are_those_that_were_compared():
    """Checksum of the cells; the values are from memory (IEC 60079-11 Tables A.1 and A.2)."""
    assert standard_curves().digest == (
        "ec391d2ca837eefa5debbe454c274e52c6cefdc1b26f3c8246edca466c6c4757"
    )


def test_files_with_their_basis_are_those_that_were_compared():
    """Checksum of the lines below the comment, with the basis of each cell."""
    text = "".join(f"{line}\n" for quantity in QUANTITIES for line in lines_of(quantity))
    assert hashlib.sha256(text.encode()).hexdigest() == (
        "af631b2e4d8851960d5cb9fcc710a2bb3e27c5ce2748e22a977b7ff99d95226d"
    )
    assert {quantity: len(rows_of(quantity)) for quantity in QUANTITIES} == {
        CURRENT: 677,
        CAPACITANCE: 1985,
    }
    assert {row["basis"] for q in QUANTITIES for row in rows_of(q)} == {"agree", "lower", "single"}


def test_origin_says_that_the_values_are_from_memory():
    curves = standard_curves()
    assert "from memory" in curves.name
    assert "never compared with a printed copy" in curves.origin
    for quantity in QUANTITIES:
        text = (DATA / f"ignition-{quantity}.csv").read_text(encoding="utf-8")
        assert "from memory" in text
        assert "compared with a printed copy" in text.replace("\n# ", " ")


@pytest.mark.parametrize(
    ("quantity", "spark", "factor", "first", "last", "count"),
    [
        (CURRENT, IIA, 1.0, (14.8, 5.0), (17.0, 2.83), 23),
        (CURRENT, IIA, 1.5, (14.8, 3.33), (17.0, 1.89), 23),
        (CURRENT, IIB, 1.0, (13.5, 5.0), (21.0, 1.0), 76),
        (CURRENT, IIB, 1.5, (13.5, 3.33), (21.0, 0.664), 75),
        (CURRENT, IIC, 1.0, (12.1, 5.0), (45.0, 0.068), 240),
        (CURRENT, IIC, 1.5, (12.1, 3.33), (45.0, 0.0453), 240),
        (CAPACITANCE, IIA, 1.0, (13.0, 1000e-6), (55.0, 1.16e-6), 281),
        (CAPACITANCE, IIA, 1.5, (8.7, 1000e-6), (55.0, 0.457e-6), 324),
        (CAPACITANCE, IIB, 1.0, (9.0, 1000e-6), (55.0, 0.36e-6), 313),
        (CAPACITANCE, IIB, 1.5, (6.0, 1000e-6), (55.0, 0.166e-6), 351),
        (CAPACITANCE, IIC, 1.0, (5.6, 1000e-6), (55.0, 0.04e-6), 355),
        (CAPACITANCE, IIC, 1.5, (5.0, 100e-6), (55.0, 0.0165e-6), 361),
    ],
)
def test_ends_of_every_column(quantity, spark, factor, first, last, count):
    """Bounds of the columns, written out (from memory, as the tables)."""
    voltages, values = standard_curves().table(quantity, spark, factor)
    assert (voltages[0], values[0]) == first
    assert (voltages[-1], values[-1]) == last
    assert voltages.size == values.size == count
    assert (np.diff(voltages) > 0).all()
    assert (np.diff(values) <= 0).all()


def test_group_one_has_no_column():
    for quantity in QUANTITIES:
        voltages, values = standard_curves().table(quantity, GROUP_I, 1.5)
        assert voltages.size == values.size == 0
    assert standard_curves().table(CURRENT, 9, 1.5)[0].size == 0
    assert standard_curves().table("charge", IIC, 1.5)[0].size == 0


def test_nothing_of_the_curves_can_be_changed():
    curves = standard_curves()
    with pytest.raises(AttributeError):
        curves.name = "mine"
    for array in curves.table(CURRENT, IIC, 1.5):
        with pytest.raises(ValueError, match="read-only"):
            array[0] = 99.0


# --- the rules of the look-up -----------------------------------------------------------------


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_sweep_agrees_with_a_look_up_by_hand(quantity):
    tabulated = sorted({volts for cells in TABLES[quantity].values() for volts, _ in cells})
    around = [
        value
        for volts in tabulated
        for value in (volts, math.nextafter(volts, 99), math.nextafter(volts, 0), volts + 1e-9)
    ]
    U = np.array([0.0, *np.arange(0.05, 60.0, 0.05), *around, 1e3, np.inf])
    for spark in range(4):
        for factor in (1.5, 1.0):
            got = lookup(quantity)(U, spark, factor)
            wanted = [
                plain_lookup(TABLES[quantity], SCALE[quantity], volts, spark, factor) for volts in U
            ]
            np.testing.assert_allclose(got, wanted, rtol=1e-15, atol=0, equal_nan=True)


def test_between_two_voltages_the_next_higher_counts():
    # 28.0 V: 120 mA and 83 nF; 28.1 V is tabulated too; nothing lies between.
    current, capacitance = lookup(CURRENT), lookup(CAPACITANCE)
    assert current(28.0, IIC, 1.5) == 0.120
    assert current(28.0 + 1e-9, IIC, 1.5) == current(28.1, IIC, 1.5) < 0.120
    assert current(27.95, IIC, 1.5) == 0.120
    assert capacitance(28.0, IIC, 1.5) == 83e-9


def test_a_sum_of_floats_counts_as_the_voltage_that_it_means():
    total = sum([1.1, 26.3])  # 27.400000000000002
    assert total > 27.4
    assert lookup(CAPACITANCE)(total, IIC, 1.5) == 87e-9
    U = np.array([28.0 * (1 + 0.9e-12), 28.0 * (1 + 1.2e-12)])
    assert lookup(CURRENT)(U, IIC, 1.5)[0] == 0.120
    assert lookup(CURRENT)(U, IIC, 1.5)[1] < 0.120


def test_below_the_first_voltage_the_first_value_stands():
    U = np.array([0.0, 1.0, 12.1])
    assert (lookup(CURRENT)(U, IIC, 1.5) == 3.33).all()
    assert (lookup(CAPACITANCE)([0.0, 5.0], IIC, 1.5) == 100e-6).all()


def test_above_the_last_voltage_the_next_more_sensitive_group_stands():
    current = lookup(CURRENT)
    assert current(17.0, IIA, 1.5) == 1.89
    assert current(17.1, IIA, 1.5) == current(17.1, IIB, 1.5)
    assert current(21.0, IIB, 1.5) == 0.664
    assert current(24.0, IIA, 1.5) == current(24.0, IIB, 1.5) == current(24.0, IIC, 1.5) == 0.174


def test_above_the_last_voltage_of_the_most_sensitive_group_there_is_none():
    assert np.isnan(lookup(CURRENT)([45.1, 60.0, np.inf], [IIC, IIB, IIA], 1.5)).all()
    assert np.isnan(lookup(CAPACITANCE)([55.1, 60.0], [IIA, IIC], 1.0)).all()


@pytest.mark.parametrize("quantity", QUANTITIES)
@pytest.mark.parametrize(
    ("U", "spark", "factor"),
    [
        (np.nan, IIC, 1.5),
        (24.0, GROUP_I, 1.5),
        (24.0, np.nan, 1.5),
        (24.0, -1, 1.5),
        (24.0, 4, 1.5),
        (24.0, 2.5, 1.5),
        (24.0, IIC, np.nan),
        (24.0, IIC, 1.2),
        (24.0, IIC, 0.0),
        (-24.0, IIC, 1.5),
    ],
)
def test_what_is_not_known_permits_nothing(quantity, U, spark, factor):
    assert np.isnan(lookup(quantity)(U, spark, factor))


def test_a_negative_voltage_is_not_a_low_one():
    """Own rule: -28 V typed for a negative barrier must not meet the value of the first voltage."""
    assert np.isnan(lookup(CURRENT)(-28.0, IIC, 1.5))


@pytest.mark.parametrize("quantity", QUANTITIES)
def test_arrays_broadcast_and_equal_single_look_ups(quantity):
    rng = np.random.default_rng(7)
    U = rng.uniform(0.0, 60.0, (40, 1, 1))
    U[3] = np.nan
    spark = np.array([0, 1, 2, 3]).reshape(4, 1)
    factor = np.array([1.5, 1.0, 1.2])
    got = lookup(quantity)(U, spark, factor)
    assert got.shape == (40, 4, 3)
    assert got.dtype == np.float64
    for i, j, k in np.ndindex(got.shape):
        alone = lookup(quantity)(float(U[i, 0, 0]), int(spark[j, 0]), float(factor[k]))
        assert alone.shape == ()
        np.testing.assert_equal(got[i, j, k], alone[()])


def test_no_points_give_no_values():
    assert lookup(CURRENT)(np.empty((0, 3)), IIC, 1.5).shape == (0, 3)


@given(
    U=st.floats(0.0, 70.0),
    more=st.floats(0.0, 10.0),
    spark=st.sampled_from([IIA, IIB, IIC]),
    factor=st.sampled_from([1.5, 1.0]),
    quantity=st.sampled_from(QUANTITIES),
)
def test_permitted_never_rises_with_voltage(U, more, spark, factor, quantity):
    low, high = lookup(quantity)([U, U + more], spark, factor)
    assert np.isnan(high) or high <= low


@given(
    U=st.floats(0.0, 70.0),
    factor=st.sampled_from([1.5, 1.0]),
    quantity=st.sampled_from(QUANTITIES),
)
def test_permitted_never_rises_with_sensitivity_or_safety(U, factor, quantity):
    a, b, c = lookup(quantity)(U, [IIA, IIB, IIC], factor)
    assert np.isnan(c) or c <= b <= a
    strict, easy = lookup(quantity)(U, IIC, [1.5, 1.0])
    assert np.isnan(easy) or strict <= easy


@given(st.lists(st.floats(allow_nan=True, allow_infinity=True), max_size=20))
def test_any_voltage_has_an_answer_without_a_warning(U):
    assert lookup(CURRENT)(U, IIB, 1.0).shape == (len(U),)


def test_many_threads_get_the_same_values():
    rng = np.random.default_rng(11)
    U, spark = rng.uniform(1.0, 60.0, 5_000), rng.integers(0, 4, 5_000)
    alone = lookup(CURRENT)(U, spark, 1.5)
    with ThreadPoolExecutor(8) as pool:
        together = list(pool.map(lambda _: lookup(CURRENT)(U, spark, 1.5), range(32)))
    for one in together:
        np.testing.assert_array_equal(one, alone)


def test_column_numbers():
    got = column_of(np.arange(4)[:, None], [1.5, 1.0])
    assert got.tolist() == [[0, 1], [2, 3], [4, 5], [6, 7]]


# --- a table of one's own ---------------------------------------------------------------------

HEAD = "voltage_V,group,safety_factor,current_mA\n"
GOOD = HEAD + (
    "12.0,IIC,1.5,300\n24.0,IIC,1.5,150\n12.0,IIC,1.0,450\n24.0,IIC,1.0,225\n"
    "12.0,I,1.5,900\n12.0,I,1.0,1350\n"
)


def written(tmp_path, text, name="mine.csv"):
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def test_own_table_is_used_alone(tmp_path):
    curves = load_curves(written(tmp_path, GOOD))
    assert curves.name == "mine.csv"
    assert curves.origin == "read from mine.csv"
    assert curves.permitted_current(20.0, IIC, 1.5) == 0.150
    # Group I of the owner's table counts, and above its last voltage a more sensitive group.
    assert curves.permitted_current(10.0, GROUP_I, 1.0) == 1.350
    assert curves.permitted_current(13.0, GROUP_I, 1.5) == 0.150
    # What the table does not hold is not filled in from the curves of the library.
    assert np.isnan(curves.permitted_current(12.0, IIB, 1.5))
    assert np.isnan(curves.permitted_capacitance(12.0, IIC, 1.5))
    assert curves.digest != standard_curves().digest


def test_own_name_and_origin(tmp_path):
    curves = load_curves(written(tmp_path, GOOD), name="Ed. 7", origin="printed copy 4711")
    assert (curves.name, curves.origin) == ("Ed. 7", "printed copy 4711")


def test_digest_is_of_the_values_not_of_the_layout(tmp_path):
    first = load_curves(written(tmp_path, GOOD)).digest
    head, *rows = GOOD.splitlines()
    turned = "# printed table\n\n" + "\r\n".join([head, *reversed(rows)]).replace("12.0", "12")
    assert load_curves(written(tmp_path, turned, "turned.csv")).digest == first
    other = load_curves(written(tmp_path, GOOD.replace("150", "151"), "other.csv")).digest
    assert other != first


def test_a_directory_with_both_tables_gives_both(tmp_path):
    for quantity in QUANTITIES:
        name = f"ignition-{quantity}.csv"
        written(tmp_path, (DATA / name).read_text(encoding="utf-8"), name)
    assert load_curves(tmp_path).digest == standard_curves().digest


def test_one_file_may_hold_both_quantities(tmp_path):
    text = (
        "voltage_V,group,safety_factor,capacitance_uF,current_mA,page\n"
        "28,IIC,1.5,0.083,120,41\n30,IIC,1.5,,101,41\n"
    )
    curves = load_curves(written(tmp_path, text), factors=(1.5,))
    assert curves.permitted_capacitance(28.0, IIC, 1.5) == 83e-9
    assert np.isnan(curves.permitted_capacitance(30.0, IIC, 1.5))
    assert curves.permitted_current(30.0, IIC, 1.5) == 0.101


def test_one_factor_alone_must_be_stated(tmp_path):
    text = "\n".join(line for line in GOOD.splitlines() if ",1.0," not in line)
    path = written(tmp_path, text)
    with pytest.raises(InputError, match=r"group I has no row with safety factor 1\.0"):
        load_curves(path)
    curves = load_curves(path, factors=(1.5,))
    assert curves.permitted_current(24.0, IIC, 1.5) == 0.150
    assert np.isnan(curves.permitted_current(24.0, IIC, 1.0))
    with pytest.raises(InputError, match=r"safety factor 2 is stated; wanted 1\.5 or 1\.0"):
        load_curves(path, factors=(2,))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            HEAD + "12.0,IIC,1.5,abc\n",
            "row 2, column current_mA: 'abc'; wanted a number above zero, with a decimal point",
        ),
        (
            HEAD + '12.0,IIC,1.5,"0,083"\n',
            "row 2, column current_mA: '0,083'; wanted a number above zero, with a decimal point",
        ),
        (
            "# mine\n" + HEAD + "12.0,IIC,1.5,-3\n",
            "row 3, column current_mA: '-3'; wanted a number above zero, with a decimal point",
        ),
        (
            HEAD + "12.0,IIC,1.5,nan\n",
            "row 2, column current_mA: 'nan'; wanted a number above zero, with a decimal point",
        ),
        (
            HEAD + "inf,IIC,1.5,5\n",
            "row 2, column voltage_V: 'inf'; wanted a number above zero, with a decimal point",
        ),
        (HEAD + "12.0,IIC,1.5,\n", "row 2, column current_mA: blank; wanted a number above zero"),
        (HEAD + "12.0,IIC\n", "row 2, column safety_factor: blank; wanted a number above zero"),
        (HEAD + "12.0,IIX,1.5,5\n", "row 2, column group: 'IIX'; wanted one of I, IIA, IIB, IIC"),
        (HEAD + "12.0,IIC,1.2,5\n", "row 2, column safety_factor: '1.2'; wanted 1.5 or 1.0"),
        (
            HEAD + "12.0,IIC,1.5,5\n12.00,IIC,1.5,4\n",
            "row 3, column voltage_V: '12'; wanted each voltage once (also row 2)",
        ),
        (
            HEAD + "12.0,IIC,1.5,300\n13.0,IIC,1.5,301\n",
            "row 3, column current_mA: '301'; wanted at most 300, the value at 12 V",
        ),
        (
            GOOD + "12.0,IIB,1.5,299\n12.0,IIB,1.0,460\n",
            (
                "row 2, column current_mA: '300'; wanted at most 299, the value of group IIB with "
                "safety factor 1.5 at 12 V (row 8)"
            ),
        ),
        (
            HEAD + "12.0,IIC,1.5,300\n12.0,IIC,1.0,290\n",
            (
                "row 2, column current_mA: '300'; wanted at most 290, the value of group IIC with "
                "safety factor 1.0 at 12 V (row 3)"
            ),
        ),
        (
            GOOD + "11.5,IIB,1.5,299\n11.5,IIB,1.0,460\n",
            (
                "row 2, column current_mA: '300'; wanted at most 299, the value of group IIB with "
                "safety factor 1.5 at 11.5 V (row 8)"
            ),
        ),
        ("voltage_V,group,current_mA\n12,IIC,5\n", "wanted also safety_factor"),
        ("voltage_V,group,safety_factor\n12,IIC,5\n", "wanted also current_mA or capacitance_uF"),
        (
            "voltage_V,voltage_V,group,safety_factor,current_mA\n",
            "column voltage_V: stands twice; wanted each column once",
        ),
        ("", "row 1: columns none; wanted also voltage_V"),
        (HEAD, "no row with a value; wanted at least one voltage"),
    ],
)
def test_a_bad_table_is_refused_with_its_place(tmp_path, text, message):
    path = written(tmp_path, text)
    with pytest.raises(InputError) as caught:
        load_curves(path)
    assert str(caught.value).startswith(f"{path}: ")
    assert message in str(caught.value)


def test_a_table_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        load_curves(tmp_path / "absent.csv")
    with pytest.raises(InputError, match=r"wanted ignition-current\.csv or ignition-capacitance"):
        load_curves(tmp_path)


def test_a_quantity_given_in_two_files_is_refused(tmp_path):
    written(tmp_path, GOOD, "ignition-current.csv")
    written(tmp_path, GOOD, "ignition-capacitance.csv")
    with pytest.raises(InputError, match="given in another file already"):
        load_curves(tmp_path)


def test_public_face():
    for name in ignition.__all__:
        assert hasattr(ignition, name)
