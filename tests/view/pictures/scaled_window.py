"""A process of its own whose screen is scaled: saves a picture of the window, and prints what is cut in it."""

from __future__ import annotations

import sys
from datetime import date, timedelta
from pathlib import Path

from PySide6.QtWidgets import QApplication

from legtide.day.document import Day
from legtide.shipped import demo_days
from legtide.view.main_window import build_window
from legtide.workspace.workspace import Workspace
from support.looks import cut_texts, outside, overlaps


def main(target: str) -> int:
    """Builds the window, takes its picture, says what is wrong with it."""
    application = QApplication(sys.argv[:1])
    workspace = Workspace(Day(date=date(2027, 1, 1)))
    workspace.new(workspace.storage.load(demo_days() / "tight.day.json").day)
    window = build_window(workspace)
    window.preferences.put(hints_seen=True)
    window.resize(1280, 800)
    window.show()
    workspace.select(workspace.day.aircraft[0].registration)
    workspace.set_now(min(leg.std for leg in workspace.day.legs) + timedelta(hours=3))
    application.processEvents()
    image = window.grab().toImage()
    image.save(target)
    print(image.width(), image.height())
    for line in (*cut_texts(window), *overlaps(window), *outside(window)):
        print(line)
    return 0


if __name__ == "__main__":
    sys.exit(main(str(Path(sys.argv[1]))))
