"""All actions of the window, in the order of its menus."""

from __future__ import annotations

from legtide.view.action_list.day import edit_actions, file_actions
from legtide.view.action_list.looking import go_actions, help_actions, view_actions
from legtide.view.action_list.parts import WindowParts
from legtide.view.action_list.planning import plan_actions
from legtide.view.action_list.selected import (
    leg_and_aircraft_actions,
    service_actions,
    station_and_fit_actions,
    turn_actions,
    why_actions,
)
from legtide.view.actions import Action

_GROUPS = (
    *(file_actions, edit_actions, service_actions, turn_actions, leg_and_aircraft_actions, station_and_fit_actions),
    *(why_actions, plan_actions, view_actions, go_actions, help_actions),
)


def actions_of(parts: WindowParts) -> list[Action]:
    """Every action, group by group."""
    return [action for group in _GROUPS for action in group(parts)]
