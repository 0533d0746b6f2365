"""Cautions stand where the work is done, and each moment defers to label, code and licence."""

import pytest
from small_shop import ITEMS

from consumables.items.cautions import cautions_at, cautions_for
from consumables.items.item import Item

MOMENTS = [
    "contamination",
    "mixing",
    "washing",
    "blades",
    "dust",
    "loosening",
    "keeping",
    "ultrasonic",
    "basin",
    "sterilising",
    "spore-test",
]


@pytest.mark.parametrize("moment", MOMENTS)
def test_every_moment_defers_to_label_code_and_licence(moment: str) -> None:
    told = cautions_at(moment)
    assert len(told) >= 2
    assert {"label", "code", "licence"} <= set(told[-1].replace(",", "").split())


def test_filing_calls_for_a_mask_and_a_blade_for_the_sharps_box() -> None:
    files = [item for item in ITEMS if item.item_id == "board"]
    assert any("dust" in told for told in cautions_for(files))
    blade = Item("blade", "blade", kind="blade", sharp=True)
    assert any("sharps box" in told for told in cautions_for([blade]))


def test_a_kept_tool_is_looked_at_before_use_and_gloves_call_for_nothing() -> None:
    gloves = [item for item in ITEMS if item.item_id == "gloves"]
    assert cautions_for(gloves) == ()
    assert any("Look at each tool" in told for told in cautions_for(gloves, kept=True))
