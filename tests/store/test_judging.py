"""The ignition table by which the desk judges: one's own where it is kept, as it now is."""

from __future__ import annotations

import pytest

from subspark.errors import InputError
from subspark.exchange.curve_store import forget_curves, keep_curves
from subspark.physics.ignition import standard_curves

TABLE = "voltage_V,group,safety_factor,current_mA,capacitance_uF\n20,IIC,1.5,{},0.22\n"


def test_a_table_of_ones_own_is_read_again_only_where_it_was_changed(tmp_path, monkeypatch):
    from subspark.store import judging

    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert judging.curves().digest == standard_curves().digest

    def kept(current):
        file = tmp_path / "ours.csv"
        file.write_text(TABLE.format(current))
        return keep_curves(file, factors=(1.5,))

    first = kept(300)
    found = judging.curves()
    assert found.digest == first.digest
    assert judging.curves() is found
    assert judging.judged_by().endswith(first.digest)
    second = kept(200)
    assert judging.curves().digest == second.digest != first.digest
    (tmp_path / "data" / "subspark" / "curves.csv").write_text(TABLE.format(900))
    with pytest.raises(InputError, match="was changed"):
        judging.curves()
    forget_curves()
    assert judging.curves().digest == standard_curves().digest
