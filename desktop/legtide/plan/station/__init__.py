"""A station's trucks planned from a day: the bridge between day, projection and the bank's solver.

`station_problem` says what the day asks of a station's trucks, `plan_station` solves it, `apply_station_plan` writes
the answer into the day, and `station_rows` tells it to other programs.
"""

from legtide.plan.station.apply import apply_station_plan
from legtide.plan.station.bridge import StationProblem, station_problem
from legtide.plan.station.conflicts import Conflict, station_conflicts
from legtide.plan.station.elsewhere import Elsewhere, elsewhere
from legtide.plan.station.moves import Move
from legtide.plan.station.planning import StationPlan, plan_station, replan_station
from legtide.plan.station.rows import station_rows
from legtide.plan.station.runs import StationRuns, run_rows, runs_at

__all__ = [
    "Conflict",
    "Elsewhere",
    "Move",
    "StationPlan",
    "StationProblem",
    "StationRuns",
    "apply_station_plan",
    "elsewhere",
    "plan_station",
    "replan_station",
    "run_rows",
    "runs_at",
    "station_conflicts",
    "station_problem",
    "station_rows",
]
