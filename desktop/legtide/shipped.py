"""The one place that knows where the shipped data folders are.

In a wheel they lie beside this file (`_shipped/`); in a checkout they are two levels up.
"""

from pathlib import Path

_BESIDE = Path(__file__).parent / "_shipped"
_ROOT = _BESIDE if _BESIDE.is_dir() else Path(__file__).parents[2]


def resources() -> Path:
    """Folder with fits, fonts, icons, styles and translations."""
    return _ROOT / "resources"


def demo_days() -> Path:
    """Folder with the invented demo days (`*.day.json`)."""
    return _ROOT / "demo_days"
