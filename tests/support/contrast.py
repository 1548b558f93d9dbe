"""The contrast of two colours, by the published formulas."""

from __future__ import annotations

import numpy as np


def srgb(name: str) -> np.ndarray:
    """Red, green and blue of `#RRGGBB`, 0 to 1."""
    return np.array([int(name[place : place + 2], 16) for place in (1, 3, 5)]) / 255.0


def linear(rgb: np.ndarray) -> np.ndarray:
    """IEC 61966-2-1."""
    return np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)


def contrast(one: np.ndarray, other: np.ndarray) -> float:
    """WCAG 2.2, contrast ratio."""
    weights = np.array([0.2126, 0.7152, 0.0722])
    lighter, darker = sorted((float(weights @ linear(one)), float(weights @ linear(other))), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)
