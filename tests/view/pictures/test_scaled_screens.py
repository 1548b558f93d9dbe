"""Screens that are scaled by the system: nothing is cut, and a pixel of the window is as many of the screen."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

SCRIPT = Path(__file__).with_name("scaled_window.py")


@pytest.mark.parametrize("percent", [150, 200])
def test_nothing_is_cut_on_a_scaled_screen(request, tmp_path, percent):
    folder = Path(request.config.getoption("--pictures") or tmp_path)
    target = folder / f"scaled-{percent}.png"
    env = {**os.environ, "QT_SCALE_FACTOR": str(percent / 100.0), "QT_QPA_PLATFORM": "offscreen"}
    env["PYTHONPATH"] = os.pathsep.join(path for path in sys.path if path)
    done = subprocess.run(
        [sys.executable, str(SCRIPT), str(target)], env=env, capture_output=True, text=True, check=True
    )
    size, *problems = done.stdout.splitlines()
    assert problems == []
    assert size.split() == [str(1280 * percent // 100), str(800 * percent // 100)]
    image = QImage(str(target))
    assert len({image.pixel(x, y) for x in range(0, image.width(), 7) for y in range(0, image.height(), 7)}) > 20
