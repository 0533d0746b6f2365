"""The items shelf answers quickly: nothing heavy is loaded, and nothing is read at import."""

import subprocess
import sys

HEAVY = {"pandas", "numpy", "sqlmodel", "sqlalchemy", "textual", "biip", "pydantic", "scipy"}
CODE = """
import sys
import consumables.items.classify, consumables.items.describe, consumables.items.rulebook_reader
import consumables.items.tags, consumables.items.scan, consumables.items.wear
early = "tomllib" in sys.modules
from consumables.items.classify import classify
from consumables.items.describe import describe_text
from consumables.items.rulebook_reader import shipped
classify(describe_text("foam buffer").item, shipped("strict-majority"))
print(early, *sorted(name.split(".")[0] for name in sys.modules))
"""


def test_a_verdict_loads_nothing_heavy_and_reads_no_list_before_it_is_asked() -> None:
    done = subprocess.run([sys.executable, "-c", CODE], capture_output=True, text=True, check=True)
    early, *loaded = done.stdout.split()
    assert early == "False"
    assert HEAVY.isdisjoint(loaded)
