"""Actions of planning: proposals, trucks, alternatives, training."""

from __future__ import annotations

from collections.abc import Iterator

from legtide.language import tr
from legtide.view.action_list.parts import WindowParts
from legtide.view.actions import Action


def plan_actions(parts: WindowParts) -> Iterator[Action]:
    planning = parts.planning
    yield Action(
        "plan.all",
        tr("Find better plan"),
        planning.plan_all,
        ("F9",),
        tip=tr("Propose the cheapest services for all rotations; nothing changes before you take them"),
        enabled=lambda: planning.idle,
    )
    yield Action(
        "plan.aircraft",
        tr("Plan this aircraft"),
        planning.plan_aircraft,
        ("Shift+F9",),
        "aircraft",
        tr("Propose the cheapest services for the selected aircraft"),
        planning.can_plan_aircraft,
        short=tr("Plan"),
    )
    yield Action(
        "plan.trucks",
        tr("Plan the trucks here"),
        planning.plan_trucks,
        ("F7",),
        "truck",
        tr("Propose runs for the trucks of the station whose local time is shown"),
        lambda: planning.idle,
    )
    yield Action(
        "plan.mend",
        tr("Mend the trucks' plan here"),
        planning.mend_trucks,
        ("Shift+F7",),
        tip=tr("After a change: keep the trucks' plan where it still works, and change few services"),
        enabled=lambda: planning.idle,
    )
    yield Action(
        "plan.stop",
        tr("Stop and look at the best so far"),
        planning.stop,
        ("Ctrl+Shift+F9",),
        enabled=lambda: not planning.idle,
    )
    yield Action(
        "plan.take", tr("Take this plan"), planning.take, ("Ctrl+Return",), "done", enabled=planning.can_take
    )
    yield Action(
        "plan.leave", tr("Leave the plan"), planning.leave, ("Ctrl+Backspace",), enabled=lambda: planning.open
    )
    alternatives, workspace = parts.alternatives, parts.workspace
    yield Action(
        "plan.alternative",
        tr("Try an alternative…"),
        alternatives.ask_name,
        ("Ctrl+Alt+N",),
        tip=tr("Go on with a copy of the day under a name; the present plan stays as it is"),
        enabled=lambda: not workspace.read_only,
    )
    yield Action(
        "plan.switch",
        tr("Switch alternative…"),
        alternatives.choose,
        ("Ctrl+Alt+S",),
        tip=tr("Open another alternative of the day, with its own steps to undo"),
        enabled=lambda: len(workspace.alternatives) > 1,
    )
    yield Action(
        "plan.drop_alternative",
        tr("Drop an alternative…"),
        alternatives.choose_dropped,
        enabled=lambda: len(workspace.alternatives) > 1,
    )
    yield Action(
        "plan.train",
        tr("Train on a sampled day…"),
        parts.beside.show_training,
        ("Ctrl+Shift+T",),
        tip=tr(
            "A class plays a day drawn by chance, sees how it came out, and is scored; the day file stays as it is"
        ),
        enabled=lambda: bool(workspace.day.legs),
    )
    yield Action(
        "plan.preview",
        tr("Show as if taken"),
        planning.toggle_preview,
        ("S",),
        tip=tr("Show the day on the board as if the plan had been taken"),
        enabled=planning.can_preview,
        checked=lambda: planning.previewing,
    )
