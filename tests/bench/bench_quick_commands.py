"""Quick commands beside a bare interpreter start, both measured in the same run.

Printed, never asserted: a slow day of the machine is no fault of the tool. The wish is a ratio of
8 at most for `--help` and `classify`.
"""

import statistics
import subprocess
import sys
import time

import pytest

RUNS = 15
RUN = "import sys; sys.argv = {argv!r}; from consumables.cli import main; main()"
QUICK = {
    "consumables --help": ["consumables", "--help"],
    "consumables --version": ["consumables", "--version"],
    "consumables close --help": ["consumables", "close", "--help"],
    "consumables classify TEXT": ["consumables", "classify", "orangewood stick"],
    "consumables classify TEXT --json": ["consumables", "classify", "steel nipper", "--json"],
}


@pytest.mark.bench
def test_quick_commands_answer_within_a_few_interpreter_starts() -> None:
    code = {"a bare interpreter": "pass", "import click": "import click"}
    code |= {name: RUN.format(argv=argv) for name, argv in QUICK.items()}
    # Round by round, so that a busy minute of the machine weighs on all of them alike.
    rounds = [[_seconds(one) for one in code.values()] for _ in range(RUNS)]
    medians = dict(zip(code, map(statistics.median, zip(*rounds, strict=True)), strict=True))
    floor = medians["a bare interpreter"]
    print(f"\na bare interpreter: {floor * 1e3:.1f} ms")
    for name, seconds in medians.items():
        print(f"{name:34} {seconds / floor:5.1f}")


def _seconds(code: str) -> float:
    begun = time.perf_counter()
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert done.returncode == 0, done.stderr.decode()
    return time.perf_counter() - begun
