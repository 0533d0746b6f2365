"""Our own colours, told apart by people who see few of them; and none at all where asked.

Hues: the eight-colour set of Okabe and Ito (2008), made for colour-blind readers.
"""

from __future__ import annotations

import os

from textual.theme import Theme

EVENING = Theme(
    name="evening",
    primary="#56B4E9",
    secondary="#4C6373",
    accent="#56B4E9",
    warning="#E69F00",
    error="#FF8A4C",
    success="#3FC79A",
    foreground="#ECEBE6",
    background="#15191D",
    surface="#1B2126",
    panel="#28323A",
    dark=True,
)
DAYLIGHT = Theme(
    name="daylight",
    primary="#0072B2",
    secondary="#8FA3B0",
    accent="#0072B2",
    warning="#8A5A00",
    error="#B03A00",
    success="#00694E",
    foreground="#1D2227",
    background="#FAF8F3",
    surface="#F1EEE6",
    panel="#DDE3E4",
    dark=False,
)
OUR_THEMES = (EVENING, DAYLIGHT)


def first_theme() -> str:
    """The theme to start with; Textual takes NO_COLOR as set when it is there at all."""
    return "ansi-dark" if "NO_COLOR" in os.environ else "textual-dark"
