"""Learning usage rates and spreads from the gauge readings of past days."""

from legtide.engine.learn.learning import learn
from legtide.engine.learn.records import Estimate, Learned, Learning
from legtide.engine.learn.report import learning_document

__all__ = ["Estimate", "Learned", "Learning", "learn", "learning_document"]
