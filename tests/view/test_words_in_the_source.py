"""No sentence in English reaches the screen past the catalogue: read from the source of the widgets and painters."""

from __future__ import annotations

import ast
import re

import pytest

from legtide.day.assumptions import CATALOGUE
from support.spoken import PACKAGE

SHOWING = {
    "setText", "setToolTip", "setStatusTip", "setWhatsThis", "setWindowTitle", "setTitle", "setPlaceholderText",
    "setAccessibleName", "setAccessibleDescription", "setTabText", "setLabelText", "setInformativeText",
    "addAction", "addMenu", "addItem", "addItems", "addTab", "addButton", "addRow", "insertItem", "emit", "say",
    "show_text", "QLabel", "QPushButton", "QToolButton", "QCheckBox", "QRadioButton", "QGroupBox", "QAction", "QMenu",
    "plain_label", "tooltip", "menu_text", "tell", "ask", "Answer", "Choice", "Form", "Action", "Section",
    "put_text", "put_lines", "text_blocks", "Part", "Input", "Finding", "Caution", "Remedy", "Problem", "Explanation",
    "PlanError", "EditError", "ReadError", "QuantityError", "StorageError", "SaveError", "AlternativeError",
    "CallError",
}  # fmt: skip
"""Names of what shows its text, or carries it to where it is shown."""
LAYERS = ("view", "draw", "brief", "workspace", "plan", "day", "engine", "files", "play")
NO_WORDS = {
    "[*] – Legtide": "a name",
    "Legtide": "a name",
    "UTC": "the trade's word in every language",
    "A4": "a size of paper",
    "PDF": "a name",
    "HH:MM": "a form",
    "Title": "the name of a field in a picture file",
    **dict.fromkeys((row.unit for row in CATALOGUE.values()), "a unit, looked up where it is shown"),
}
PLAIN = re.compile(r"[A-Z]?[a-z]{2,}(?: [a-z]+)+|(?<![A-Za-z])[A-Z][a-z]{2,}\b(?!-)")
"""Words of a sentence or of a title, not an id such as `service-not-offered`."""


def unlooked(source: str) -> list[str]:
    """Literal words that are handed to something that shows them, with their lines."""
    found = []
    for call in ast.walk(ast.parse(source)):
        if isinstance(call, ast.Call) and _name(call.func) in SHOWING:
            arguments = [*call.args, *(word.value for word in call.keywords)]
            if _name(call.func) == "Action":  # its key sequences have the toolkit's own form
                arguments = [one for one in arguments if not isinstance(one, ast.Tuple)]
            for text in (text for argument in arguments for text in _texts(argument)):
                if PLAIN.search(text.value) and text.value.strip() not in NO_WORDS:
                    found.append(f"{text.lineno}: {text.value!r}")
    return found


def _name(function: ast.expr) -> str:
    if isinstance(function, ast.Attribute):
        return function.attr
    return function.id if isinstance(function, ast.Name) else ""


def _texts(node: ast.expr) -> list[ast.Constant]:
    """Text in an argument, but not in a call within it, a subscript or a comparison."""
    if isinstance(node, ast.Constant):
        return [node] if isinstance(node.value, str) else []
    if isinstance(node, ast.JoinedStr):
        return [text for part in node.values for text in _texts(part)]
    if isinstance(node, ast.BinOp):
        return [*_texts(node.left), *_texts(node.right)]
    if isinstance(node, ast.IfExp):
        return [*_texts(node.body), *_texts(node.orelse)]
    if isinstance(node, ast.Tuple | ast.List):
        return [text for part in node.elts for text in _texts(part)]
    return []


@pytest.mark.parametrize("layer", LAYERS)
def test_words_go_through_the_catalogue(layer):
    found = {}
    for path in sorted((PACKAGE / layer).rglob("*.py")):
        rows = unlooked(path.read_text("utf-8"))
        if rows:
            found[path.relative_to(PACKAGE).as_posix()] = rows
    assert found == {}


@pytest.mark.parametrize(
    "source",
    [
        'label.setText("Not saved yet")',
        'label.setText(f"Saved {name}")',
        'button.setToolTip("Open" if new else tr("Close"))',
        'plain_label("heading of a page", "heading")',
        'said.emit("Saved " + name)',
        'raise PlanError(f"truck {name} is busy")',
        'painter.put_text(x, y, "no legs", 12)',
        'Action("file.open", "Open it", run)',
    ],
)
def test_a_sentence_past_the_catalogue_is_found(source):
    assert len(unlooked(source)) == 1


@pytest.mark.parametrize(
    "source",
    [
        'label.setText(tr("Not saved yet"))',
        'label.setText(tr("Saved {name}").format(name=name))',
        'label.setText(f"{number} UTC")',
        'plain_label(tr("A heading"), "heading")',
        'Finding("service-not-offered", "caution", text)',
        'label.setText(names["of a thing"])',
    ],
)
def test_what_goes_through_it_is_let_be(source):
    assert unlooked(source) == []
