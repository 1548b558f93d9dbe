"""Garbage is collected where the widgets live."""

from __future__ import annotations

import gc
import threading
import weakref

import pytest
from PySide6.QtCore import QObject

from legtide.workspace.collection import Collector


class Ring(QObject):
    """An object of the toolkit that is part of a cycle."""

    def __init__(self, seen: list[int]) -> None:
        super().__init__()
        self.me = self
        weakref.finalize(self, lambda: seen.append(threading.get_ident()))


@pytest.fixture
def collector(qapp):
    made = Collector()
    yield made
    made.end()
    gc.disable()


def test_a_busy_worker_destroys_no_widget(collector):
    seen: list[int] = []
    Ring(seen)
    worker = threading.Thread(target=lambda: [[number] for number in range(20_000)])
    worker.start()
    worker.join()
    assert seen == []
    keep = [[number] for number in range(5_000)]
    assert collector.look() >= 0
    assert seen == [threading.get_ident()]
    assert len(keep) == 5_000


def test_nothing_is_collected_while_nothing_is_due(collector):
    gc.collect()
    assert collector.look() == -1


def test_collection_is_given_back(qapp):
    Collector().end()
    assert gc.isenabled()
    gc.disable()
