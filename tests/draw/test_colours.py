"""Contrast of every text on every ground it stands on, and water against waste in each kind of colour blindness."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from legtide.draw.colours import DARK, LIGHT, VEIL_ALPHA, Palette
from support.contrast import contrast, linear, srgb

PALETTES = pytest.mark.parametrize("colours", [LIGHT, DARK], ids=lambda row: row.name)

# Machado, Oliveira and Fernandes (2009), "A Physiologically-based Model for Simulation of Color Vision Deficiency",
# IEEE TVCG 15(6), severity 1.0, on linear RGB. Typed from the published table as several public libraries carry it.
BLINDNESS = {
    "none": np.eye(3),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "tritanopia": np.array(
        [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602], [0.004733, 0.691367, 0.303900]]
    ),
}


def lab(rgb_linear: np.ndarray) -> np.ndarray:
    """CIE 1976 L*a*b*, white point D65."""
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    t = to_xyz @ rgb_linear / np.array([0.95047, 1.0, 1.08883])
    f = np.where(t > (6 / 29) ** 3, np.cbrt(t), t / (3 * (6 / 29) ** 2) + 4 / 29)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def texts_and_grounds(colours: Palette) -> list[tuple[str, str]]:
    grounds = (colours.canvas, colours.ground, colours.focus, colours.panel)
    pairs = list(itertools.product((colours.text, colours.secondary, colours.act, colours.accent), grounds))
    pairs += [(colours.tank_text(tank), ground) for tank in ("fresh", "waste") for ground in grounds]
    pairs += [(colours.text, ground) for ground in (colours.bar, colours.home_turn, colours.act_tint)]
    pairs += [(colours.secondary, colours.bar), (colours.text, colours.watch_tint)]
    pairs += [(colours.on_accent, colours.accent), (colours.canvas, colours.act), (colours.watch_edge, colours.watch)]
    return pairs


@PALETTES
def test_every_text_has_a_contrast_of_at_least_five_to_one(colours: Palette) -> None:
    weak = {
        pair: contrast(srgb(pair[0]), srgb(pair[1]))
        for pair in texts_and_grounds(colours)
        if contrast(srgb(pair[0]), srgb(pair[1])) < 5.0
    }
    assert weak == {}


@PALETTES
def test_a_flight_number_in_the_veiled_past_can_still_be_read(colours: Palette) -> None:
    canvas = srgb(colours.canvas)
    text, bar = (srgb(name) * (1.0 - VEIL_ALPHA) + canvas * VEIL_ALPHA for name in (colours.text, colours.bar))
    assert contrast(text, bar) >= 5.0


@PALETTES
@pytest.mark.parametrize("kind", BLINDNESS)
def test_water_and_waste_differ_by_more_than_eighty_in_every_kind_of_colour_blindness(
    colours: Palette, kind: str
) -> None:
    seen = [np.clip(BLINDNESS[kind] @ linear(srgb(name)), 0.0, 1.0) for name in (colours.water, colours.waste)]
    assert np.linalg.norm(lab(seen[0]) - lab(seen[1])) > 80.0


def test_the_lab_of_the_tests_agrees_with_published_values() -> None:
    # sRGB red and blue under D65 as colour calculators give them: (53.24, 80.09, 67.20), (32.30, 79.19, -107.86).
    assert lab(linear(np.array([1.0, 0.0, 0.0]))) == pytest.approx([53.24, 80.09, 67.20], abs=0.05)
    assert lab(linear(np.array([0.0, 0.0, 1.0]))) == pytest.approx([32.30, 79.19, -107.86], abs=0.05)
