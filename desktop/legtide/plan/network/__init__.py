"""One plan for all rotations of a day and the trucks of all its stations.

`plan_network` finds it: services that its stations' trucks cannot work are planned at other turns, here or elsewhere.
`relieved` does that for one station's plan.
"""

from legtide.plan.network.planning import NetworkPlan, at_once, plan_network
from legtide.plan.network.relief import relieved
from legtide.plan.network.search import NetworkProgress
from legtide.plan.station.moves import Move

__all__ = ["Move", "NetworkPlan", "NetworkProgress", "at_once", "plan_network", "relieved"]
