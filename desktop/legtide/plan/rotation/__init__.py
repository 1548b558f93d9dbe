"""Planning one aircraft's rotation exactly, a fleet of them as arrays, and proposals for a day."""

from legtide.plan.rotation.fleet import Fleet, FleetPlan, plan_fleet
from legtide.plan.rotation.planner import plan_rotation
from legtide.plan.rotation.proposal import Comparison, Proposal, apply_proposal, compare, propose
from legtide.plan.rotation.records import PlanError, PlannedService, RotationPlan
from legtide.plan.rotation.report import plan_document

__all__ = [
    "Comparison",
    "Fleet",
    "FleetPlan",
    "PlanError",
    "PlannedService",
    "Proposal",
    "RotationPlan",
    "apply_proposal",
    "compare",
    "plan_document",
    "plan_fleet",
    "plan_rotation",
    "propose",
]
