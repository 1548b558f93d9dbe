"""One plan for all rotations of a day and the trucks of all its stations.

`plan_network` finds it: services that its stations' trucks cannot work are planned at other turns, here or elsewhere.
"""

from legtide.plan.network.moves import Move
from legtide.plan.network.planning import NetworkPlan, has_trucks, plan_network
from legtide.plan.network.search import NetworkProgress

__all__ = ["Move", "NetworkPlan", "NetworkProgress", "has_trucks", "plan_network"]
