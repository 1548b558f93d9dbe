"""Text and what it stands on, in the style sheet of both themes: contrast by WCAG 2.2, success criterion 1.4.3.

Formula and limit (4.5:1; ours is 5:1) are those of the Web Content Accessibility Guidelines 2.2, "contrast ratio" and
"relative luminance". Disabled controls are exempt there, and their pairs are asked for 2.5:1 here.
"""

from __future__ import annotations

import re

import pytest
from PySide6.QtGui import QColor, QPalette

from legtide.draw.colours import DARK, LIGHT, Palette
from legtide.view.theme import qt_palette, style_sheet
from support.contrast import contrast, srgb

OURS, INACTIVE = 5.0, 2.5
SURFACES = ("canvas", "ground", "panel", "watch_tint", "act_tint")
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")


def ratio(first: str | QColor, second: str | QColor) -> float:
    """The contrast of two colours of the toolkit or of the style sheet."""
    return contrast(*(srgb(QColor(one).name()) for one in (first, second)))


def rules(colours: Palette) -> list[tuple[str, dict[str, str]]]:
    """Selector and properties of each rule of the style sheet."""
    text = re.sub(r"/\*.*?\*/", "", style_sheet(colours), flags=re.DOTALL)
    out = []
    for selector, body in _RULE.findall(text):
        pairs = (line.partition(":") for line in body.split(";") if ":" in line)
        out.append((selector.strip(), {key.strip(): value.strip() for key, _, value in pairs}))
    return out


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda one: one.name)
def test_each_rule_that_says_both_colours_keeps_them_apart(colours: Palette) -> None:
    seen = 0
    for selector, said in rules(colours):
        text, ground = said.get("color"), said.get("background", "")
        if text is None or not ground.startswith("#"):
            continue
        seen += 1
        least = INACTIVE if "disabled" in selector else OURS
        assert ratio(text, ground) >= least, (selector, text, ground)
    assert seen >= 10


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda one: one.name)
def test_each_colour_of_text_is_readable_on_every_surface(colours: Palette) -> None:
    seen = set()
    for selector, said in rules(colours):
        text = said.get("color")
        if text is None or said.get("background", "").startswith("#") or "disabled" in selector:
            continue
        seen.add(text)
        # What is written in the colour for it stands on the accent.
        for name in ("accent",) if text == colours.on_accent and selector.startswith("#training") else SURFACES:
            assert ratio(text, getattr(colours, name)) >= 4.5, (selector, text, name)
    assert len(seen) >= 4


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda one: one.name)
def test_what_the_style_sheet_does_not_reach_is_readable_too(colours: Palette) -> None:
    made, role = qt_palette(colours), QPalette.ColorRole
    for text, ground in (
        (role.WindowText, role.Window),
        (role.Text, role.Base),
        (role.Text, role.AlternateBase),
        (role.ButtonText, role.Button),
        (role.ToolTipText, role.ToolTipBase),
        (role.HighlightedText, role.Highlight),
        (role.Link, role.Window),
        (role.Link, role.Base),
        (role.PlaceholderText, role.Base),
    ):
        assert ratio(made.color(text), made.color(ground)) >= OURS, (text, ground)


def test_the_formula_gives_the_published_ratios() -> None:
    # WCAG 2.2: black on white is 21:1; #767676 on white is the lightest grey of 4.5:1 (technique G18's examples).
    assert ratio("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert ratio("#767676", "#FFFFFF") >= 4.5 > ratio("#777777", "#FFFFFF")
