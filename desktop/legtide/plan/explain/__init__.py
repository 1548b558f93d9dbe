"""Why: the inputs, formula and sources behind any number that the project shows."""

from legtide.plan.explain.finder import explain
from legtide.plan.explain.records import FORMS, ExplainError, Explanation
from legtide.plan.explain.report import explanation_document, explanation_text
from legtide.plan.explain.warnings import explain_warning

__all__ = [
    "FORMS",
    "ExplainError",
    "Explanation",
    "explain",
    "explain_warning",
    "explanation_document",
    "explanation_text",
]
