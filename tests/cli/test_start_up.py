"""Commands start quickly: what is not needed is not loaded."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

import pytest

HEAVY = ("numpy", "rich", "xlsxwriter", "python_calamine", "lark", "quantiphy")
RATIO = 2.5


def test_help_loads_nothing_heavy():
    script = (
        "import sys\n"
        "from subspark.cli import main\n"
        "main(['--help'])\n"
        f"print(sorted(set({HEAVY!r}) & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, encoding="utf-8", check=True
    )
    assert done.stderr == "[]\n"


def seconds(*arguments):
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


@pytest.mark.slow
def test_help_starts_within_two_and_a_half_times_numpy():
    # by turns, so that a busy machine slows both
    pairs = [(seconds("-m", "subspark", "--help"), seconds("-c", "import numpy")) for _ in range(7)]
    ours, numpy = (statistics.median(times) for times in zip(*pairs, strict=True))
    assert ours <= RATIO * numpy, f"{ours / numpy:.2f} times"


def test_the_face_offers_all_that_it_names():
    import subspark

    assert set(subspark.__all__) <= set(dir(subspark))
    for name in subspark.__all__:
        assert getattr(subspark, name) is not None
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        _ = subspark.nothing


def test_assess_is_the_function_also_when_its_package_is_loaded_later():
    script = (
        "import subspark as ss\n"
        "import subspark.assess.findings\n"
        "from subspark.assess import findings\n"
        "assert ss.assess is findings.assess\n"
        "from subspark import assess\n"
        "assert assess is findings.assess"
    )
    subprocess.run([sys.executable, "-c", script], check=True)
