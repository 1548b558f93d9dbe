"""Trigger readings: what the gauges have to show at a turn for the aircraft to go on without a service."""

from legtide.plan.triggers.finder import rotation_triggers, triggers
from legtide.plan.triggers.pairs import trigger_table
from legtide.plan.triggers.records import Trigger, Triggers, TriggerTable
from legtide.plan.triggers.report import trigger_text, triggers_document

__all__ = [
    "Trigger",
    "TriggerTable",
    "Triggers",
    "rotation_triggers",
    "trigger_table",
    "trigger_text",
    "triggers",
    "triggers_document",
]
