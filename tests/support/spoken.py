"""Every English sentence that the program may show in another language, found in its source.

`python tests/support/spoken.py` brings the catalogues up to date: what is missing is added with an empty
translation, to be filled in, and what no source says any more is taken out.
"""

from __future__ import annotations

import ast
import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields, is_dataclass
from datetime import datetime
from functools import cache
from importlib import import_module
from pathlib import Path
from string import Formatter
from typing import Any, get_args

import legtide

PACKAGE = Path(legtide.__file__).parent
TRANSLATIONS = PACKAGE.parents[1] / "resources" / "translations"

Words = Callable[[], list[str]]


def _module(name: str) -> Any:
    return import_module(f"legtide.{name}")


def _known(field: str) -> Words:
    return lambda: [getattr(row, field) for row in _module("day.assumptions").CATALOGUE.values()]


def _choices(name: str) -> Words:
    return lambda: list(get_args(getattr(_module("day.document"), name)))


def _statuses() -> list[str]:
    return list(get_args(_module("day.assumptions").Status))


def _fit_names() -> list[str]:
    return [fit.name for fit in _module("day.fits").shipped_fits()]


def _sources() -> list[str]:
    """Sources of the shipped figures; what a user enters stays as it is typed."""
    from legtide.day.document import Figure, Gauge

    found = _known("source")()
    for fit in _module("day.fits").shipped_fits():
        parts = (getattr(fit, field) for field in type(fit).model_fields)
        found += [part.source for part in parts if isinstance(part, Figure | Gauge)]
    return [*found, Gauge().source]


def _units() -> list[str]:
    return [*_known("unit")(), "probability"]


def _first_plan() -> list[str]:
    return [_module("workspace.alternatives").FIRST]


def _table(module: str, name: str, place: int | None = None) -> Words:
    """The words of a constant table, or those at one place of its rows."""

    def words() -> list[str]:
        table = getattr(_module(module), name)
        return strings(table) if place is None else [row[place] for row in table]

    return words


SPOKEN: dict[tuple[str, str], Words] = {
    ("brief/run_pages.py", "title"): _table("brief.run_pages", "_COLUMNS", 0),
    ("brief/briefing.py", "rotation.fit.name or rotation.fit.id"): _fit_names,
    ("brief/words.py", "policy.freeze_mild_c.source"): _sources,
    ("brief/words.py", "policy.freeze_mild_c.status"): _statuses,
    ("brief/words.py", "known.unit"): _units,
    ("brief/words.py", "known.label"): _known("label"),
    ("brief/words.py", "figure.source"): _sources,
    ("brief/words.py", "figure.status"): _statuses,
    ("day/cautions.py", "known.unit"): _units,
    ("day/cautions.py", "known.label"): _known("label"),
    ("draw/legend.py", "text"): _table("draw.legend", "ENTRIES", 1),
    ("draw/words.py", "service.state"): _choices("ServiceState"),
    ("engine/warnings.py", "reading.tank"): _choices("Tank"),
    ("files/csv_reader.py", "name"): _table("files.csv_reader", "_SEPARATORS"),
    ("files/reasons.py", "context['unit']"): _units,
    ("files/messages/gauges.py", "tank"): _choices("Tank"),
    ("plan/explain/figures.py", "known.label"): _known("label"),
    ("plan/explain/figures.py", "known.unit"): _units,
    ("plan/explain/figures.py", "figure.source"): _sources,
    ("plan/explain/figures.py", "gauge.source"): _sources,
    ("plan/explain/levels.py", "service.state"): _choices("ServiceState"),
    ("plan/explain/report.py", "one.status"): _statuses,
    ("plan/explain/report.py", "part.unit"): _units,
    ("plan/explain/report.py", "one.unit"): _units,
    ("plan/explain/steps.py", "service.state"): _choices("ServiceState"),
    ("plan/explain/warnings.py", "rule"): lambda: [
        *(words for words, _ in _module("plan.explain.warnings")._RULES.values()),
        _module("plan.explain.warnings")._NOW,
    ],
    ("plan/triggers/pairs.py", "tank"): _choices("Tank"),
    ("plan/triggers/report.py", "row.tank"): _choices("Tank"),
    ("quantities.py", "kind"): lambda: list(_module("quantities").CANONICAL),
    ("quantities.py", "to_kind"): lambda: list(_module("quantities").CANONICAL),
    ("quantities.py", "unit_kind"): lambda: list(_module("quantities").CANONICAL),
    ("view/about.py", "title"): _table("view.about", "CAUTIONS", 0),
    ("view/about.py", "text"): _table("view.about", "CAUTIONS", 1),
    ("view/alternatives.py", "name"): _first_plan,
    ("view/cells.py", "text"): lambda: [
        *_table("view.forms.aircraft_form", "ITEMS")(),
        *_table("view.forms.station_tables", "KINDS")(),
        *_table("view.forms.station_tables", "CARRIES")(),
        *_table("view.forms.fit_form", "SHOWS")(),
        *_table("view.forms.fit_form", "ROUNDS")(),
    ],
    ("view/compare_window.py", "name"): _first_plan,
    ("view/fact_tips.py", "tip"): _table("view.fact_tips", "TIPS"),
    ("view/fact_tips.py", "words"): lambda: list(_module("view.fact_tips").TIPS),
    ("view/facts.py", "fit.name or fit.id"): _fit_names,
    ("view/facts.py", "row.state"): _choices("ServiceState"),
    ("view/figures.py", "row.known.label"): _known("label"),
    ("view/figures.py", "known.label"): _known("label"),
    ("view/figures.py", "own"): lambda: [*_units(), *_module("view.units").UNITS, "US gal/min"],
    ("view/figures.py", "row.figure.status"): _statuses,
    ("view/figures.py", "row.figure.source"): _sources,
    ("view/figures_window.py", "row.known.label"): _known("label"),
    ("view/figures_window.py", "row.figure.source"): _sources,
    ("view/day_parts.py", "fit.name or fit.id"): _fit_names,
    ("view/day_parts.py", "row.name"): _fit_names,
    ("view/footer.py", "line"): _table("view.footer", "LEGEND"),
    ("view/forms/aircraft_form.py", "fit.name or key"): _fit_names,
    ("view/forms/figure_field.py", "figure.source"): _sources,
    ("view/forms/figure_field.py", "self._figure.source"): _sources,
    ("view/forms/fit_form.py", "gauge.source"): _sources,
    ("view/forms/fit_form.py", "self._fit.name"): _fit_names,
    ("view/forms/figure_field.py", "name"): _statuses,
    ("view/forms/fit_form.py", "known.label"): _known("label"),
    ("view/forms/fit_form.py", "name"): _statuses,
    ("view/forms/leg_form.py", "words"): lambda: [
        *_table("view.forms.leg_form", "PLANNED_TIMES")(),
        *_table("view.forms.leg_form", "LATE_TIMES")(),
    ],
    ("view/key_sheet.py", "key"): _table("view.key_sheet", "BOARD_KEYS", 0),
    ("view/key_sheet.py", "text"): _table("view.key_sheet", "BOARD_KEYS", 1),
    ("view/main_window.py", "title"): _table("view.menus", "MENUS", 0),
    ("view/main_window.py", "name[1:]"): lambda: list(_module("view.menus").SUBMENUS),
    ("view/opening.py", "name"): _first_plan,
    ("view/panels/hints.py", "hint"): _table("view.panels.hints", "HINTS"),
    ("view/panels/plan_review_figures.py", "measure.words"): _table("view.panels.plan_review_figures", "MEASURES"),
    ("view/panels/services_table.py", "row.state"): _choices("ServiceState"),
    ("view/panels/tank_detail.py", "rotation.fit.name or rotation.fit.id"): _fit_names,
    ("view/panels/tank_detail_legend.py", "words"): _table("view.panels.tank_detail_legend", "ENTRIES", 1),
    ("view/readers.py", "unit"): _units,
    ("view/readers.py", "known.unit"): _units,
    ("view/timeline/wording.py", "fit.name or fit.id"): _fit_names,
    ("view/top_bar.py", "workspace.alternative"): _first_plan,
    ("view/training/words.py", "words"): _table("view.training.words", "_PLAYERS"),
    ("view/why.py", "one.status"): _statuses,
    ("view/why.py", "part.unit"): _units,
    ("workspace/changes.py", "word"): _table("workspace.changes", "_WORDS"),
    ("workspace/changes.py", "name"): lambda: [
        *_module("workspace.changes")._HEAD,
        *_module("workspace.changes")._FIGURES,
    ],
    ("workspace/changes.py", "value"): lambda: [
        word
        for name in ("ServiceState", "Tank", "CabinService")
        for word in get_args(getattr(_module("day.document"), name))
    ],
}
"""File and expression given to tr() -> where its words come from. Tables named in capitals need no entry."""


@dataclass(frozen=True, slots=True)
class Asked:
    """One look-up in the source."""

    file: str
    line: int
    words: tuple[str, ...]
    unknown: str = ""
    """An expression of which nobody says where its words come from."""


def strings(value: object) -> list[str]:
    """All texts in a table: the values of a dict, the items of a list, the fields of a record."""
    if isinstance(value, str):
        return [value]
    if isinstance(value, dict):
        return [text for part in value.values() for text in strings(part)]
    if isinstance(value, list | tuple):
        return [text for part in value for text in strings(part)]
    if is_dataclass(value):
        return [text for field in fields(value) for text in strings(getattr(value, field.name))]
    return []


def look_ups(file: str, source: str) -> Iterator[Asked]:
    """What a module asks of the catalogue."""
    for argument in _arguments(source):
        yield _asked(file, argument.lineno, argument)


def expressions(source: str) -> set[str]:
    """What a module looks up, as it is written there."""
    return {ast.unparse(argument) for argument in _arguments(source)}


def _arguments(source: str) -> Iterator[ast.expr]:
    """Each argument of tr(), both of counted()."""
    for call in ast.walk(ast.parse(source)):
        if isinstance(call, ast.Call) and isinstance(call.func, ast.Name) and call.func.id in ("tr", "counted"):
            yield from call.args if call.func.id == "tr" else call.args[1:]


def _asked(file: str, line: int, argument: ast.expr) -> Asked:
    if isinstance(argument, ast.Constant) and isinstance(argument.value, str):
        return Asked(file, line, (argument.value,))
    name = ast.unparse(argument)
    spoken = SPOKEN.get((file, name))
    if spoken is not None:
        return Asked(file, line, tuple(spoken()))
    table = _capital_name(argument)
    if table:
        module = _module(file.removesuffix(".py").replace("/", "."))
        owner = module if hasattr(module, table) else _module("brief.words")
        return Asked(file, line, tuple(strings(getattr(owner, table))))
    return Asked(file, line, (), name)


def _capital_name(argument: ast.expr) -> str:
    """The constant that an expression looks into: TITLES of `TITLES[key]`, `TITLES[n].short`, `words.TITLES`."""
    while isinstance(argument, ast.Subscript | ast.Attribute):
        if isinstance(argument, ast.Attribute) and argument.attr.isupper():
            return argument.attr
        argument = argument.value
    return argument.id if isinstance(argument, ast.Name) and argument.id.isupper() else ""


@cache
def everything() -> tuple[Asked, ...]:
    """The look-ups of the whole program but of the module that makes them."""
    found: list[Asked] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        file = path.relative_to(PACKAGE).as_posix()
        if file != "language.py":
            found.extend(look_ups(file, path.read_text("utf-8")))
    return tuple(found)


def keys() -> set[str]:
    """The sentences that a catalogue has to hold: those with a letter in them."""
    return {word for asked in everything() for word in asked.words if any(c.isalpha() for c in word)}


def placeholders(text: str) -> list[str]:
    """The names that are put in, each as often as it stands."""
    return sorted(name for _, name, _, _ in Formatter().parse(text) if name is not None)


def stand_ins(text: str) -> dict[str, object]:
    """Something to put in for each name, of a kind that its form takes."""
    moment = datetime(2031, 3, 5, 6, 10)
    made: dict[str, object] = {}
    for _, name, form, conversion in Formatter().parse(text):
        if name is not None:
            made[name] = moment if "%" in (form or "") else 12 if form and not conversion else "x"
    return made


def catalogue(name: str) -> dict[str, str]:
    """A catalogue as its file has it."""
    return json.loads((TRANSLATIONS / f"{name}.json").read_text("utf-8"))


def bring_up_to_date(path: Path) -> tuple[int, int]:
    """Adds what a catalogue lacks as empty strings and takes out what nobody says; returns how many of each."""
    old = json.loads(path.read_text("utf-8")) if path.is_file() else {}
    wanted = keys()
    new = {key: old.get(key, "") for key in sorted(wanted)}
    path.write_text(json.dumps(new, ensure_ascii=False, indent=0) + "\n", "utf-8")
    return len(wanted - old.keys()), len(old.keys() - wanted)


if __name__ == "__main__":
    for one in sorted(TRANSLATIONS.glob("*.json")):
        added, gone = bring_up_to_date(one)
        print(f"{one.name}: {added} to translate, {gone} taken out")
