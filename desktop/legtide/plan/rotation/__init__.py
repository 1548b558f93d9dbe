"""Planning one aircraft's rotation exactly, a fleet of them as arrays, and proposals for a day."""

from legtide.plan.rotation.planner import plan_rotation
from legtide.plan.rotation.records import PlanError, RotationPlan

__all__ = ["PlanError", "RotationPlan", "plan_rotation"]
