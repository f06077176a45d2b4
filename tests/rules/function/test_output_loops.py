"""Outputs that drive a loop: hand-calculated figures, rule by rule; see ``test_loops``."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rules.function.figures import Value, columns, replaced, sides, verdict
from rules.function.test_loops import DRIVEN, FIRST_CABLE, UNKNOWN
from subspark.rules.function.output import Output, needed


def driven(**more: Value) -> Output:
    """Handbook: 9.5 V, barrier 150 ohm and 0.9 V in its return, the first cable."""
    figures = {
        "barrier": 1.0, "end_to_end": 150.0, "back_drop": 0.9, "line": FIRST_CABLE,
        "volts": [(math.inf, 9.5)], "electronic": 1.0, "alive": 3.6e-3, "I_low": 3.8e-3,
        "I_high": 22e-3, "card_compliance": 14.0, "card_most": UNKNOWN, "card_least": UNKNOWN,
        "least_load": UNKNOWN, "most_load": UNKNOWN, "hot": 20.0, "cold": 20.0,
        "modem": UNKNOWN, "port": UNKNOWN, **more,
    }  # fmt: skip
    return columns(Output, **figures)


def test_volts_that_an_output_must_give():
    """Handbook: 9.5 + 0.9 + 0.022 x 163.53 = 14.00 V."""
    c = driven()
    assert float(needed(c, np.full(1, 22e-3))[0]) == pytest.approx(14.0, abs=5e-3)
    assert verdict(DRIVEN, "compliance", c) == "works"
    assert verdict(DRIVEN, "compliance", replaced(c, card_compliance=13.9)) == "fails"
    assert verdict(DRIVEN, "compliance", driven(hart=1.0)) == "fails"  # 22.5 mA: 14.08 V


def test_a_highest_load_counts_at_the_highest_current():
    """636.3 ohm x 22 mA = 13.999 V, at 3.8 mA too, where 9.5 V are 2500 ohm; 13.998 V asked."""
    c = driven(card_compliance=UNKNOWN, card_most=636.3)
    assert verdict(DRIVEN, "compliance", c) == "works"
    assert verdict(DRIVEN, "compliance", replaced(c, card_most=636.2)) == "fails"
    both = driven(card_compliance=20.0, card_most=600.0)  # the lower decides: 13.2 V
    assert verdict(DRIVEN, "compliance", both) == "fails"
    coil = driven(volts=[], ohms=300.0, back_drop=0.0, card_compliance=UNKNOWN, line=0.0, hart=1.0)
    assert verdict(DRIVEN, "compliance", replaced(coil, card_most=450.0)) == "works"


def test_lowest_load_is_asked_where_it_is_stated():
    """9.5 + 0.9 V at 22 mA and 163.53 ohm: 636 ohm."""
    assert verdict(DRIVEN, "lowest load", driven()) == "not asked"
    assert verdict(DRIVEN, "lowest load", driven(card_least=636.0)) == "works"
    assert verdict(DRIVEN, "lowest load", driven(card_least=637.0)) == "fails"


def test_alive_current():
    """3.6 mA of 3.8 mA; 0.2 mA of leakage take the rest, 0.21 mA too much."""
    assert verdict(DRIVEN, "alive current", driven()) == "works"
    assert verdict(DRIVEN, "alive current", driven(leakage=0.2e-3)) == "works"
    assert verdict(DRIVEN, "alive current", driven(leakage=0.21e-3)) == "fails"
    assert verdict(DRIVEN, "alive current", driven(alive=UNKNOWN)) == "unproven"
    coil = driven(alive=UNKNOWN, electronic=0.0, leakage=UNKNOWN)
    assert verdict(DRIVEN, "alive current", coil) == "not asked"


def test_two_in_series_for_a_split_range():
    """2 x 9.5 + 0.9 + 3.598 = 23.5 V."""
    two = driven(volts=[(math.inf, 19.0)], card_compliance=23.4)
    assert verdict(DRIVEN, "compliance", two) == "fails"


def test_barrier_of_an_output():
    """14 V at its terminals; a broken line brings the card's open-circuit volts."""
    c = driven(working=14.1, card_open=24.0, highest=28.0)
    assert verdict(DRIVEN, "working voltage", c) == "works"
    assert verdict(DRIVEN, "working voltage", replaced(c, working=13.9)) == "fails"
    assert verdict(DRIVEN, "working voltage", driven(working=14.1, cold=-20.0)) == "fails"
    assert verdict(DRIVEN, "open-circuit voltage", c) == "works"
    assert verdict(DRIVEN, "open-circuit voltage", replaced(c, highest=23.0)) == "fails"


def test_safe_side_input_of_an_isolator():
    """22 mA x 100 ohm + 3 V = 5.2 V."""
    figures = {"barrier": 0.0, "input_R": 100.0, "input_volts": [(math.inf, 3.0)], "takes": 1.0}
    c = driven(card_compliance=5.2, **figures)
    assert verdict(DRIVEN, "safe-side input", c) == "works"
    assert verdict(DRIVEN, "safe-side input", replaced(c, card_compliance=5.1)) == "fails"
    assert verdict(DRIVEN, "safe-side input", replaced(c, card_compliance=UNKNOWN)) == "unproven"
    assert verdict(DRIVEN, "safe-side input", driven(barrier=0.0)) == "not asked"


def test_hart_over_an_output():
    """The positioner puts 100 ohm, the barrier 150 ohm: 263.5 ohm with the first cable."""
    figures = {"hart": 1.0, "passes": 1.0, "C_device": 5e-9, "C_line": 75e-9}
    assert verdict(DRIVEN, "HART", driven(modem=100.0, **figures)) == "works"
    assert verdict(DRIVEN, "HART", driven(modem=60.0, **figures)) == "fails"
    assert verdict(DRIVEN, "HART", driven(**figures)) == "unproven"
    # 263.53 ohm x 90 nF = 23.7 us
    assert sides(DRIVEN, "HART time constant", driven(modem=100.0, **figures))[0] == (
        pytest.approx(23.72e-6, abs=1e-8)
    )
