"""The JSON Schema of the day file, used by an independent validator (jsonschema, JSON Schema 2020-12)."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

from legtide import shipped
from legtide.day.assumptions import CATALOGUE
from legtide.files.day_file import to_bytes
from legtide.files.schema import json_schema
from support.full_day import full_day

Content = dict[str, Any]
VALIDATOR = jsonschema.Draft202012Validator(json_schema())


def content() -> Content:
    made: Content = json.loads(to_bytes(full_day()))
    return made


def test_it_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(json_schema())
    assert json_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert json_schema()["title"] == "legtide-day version 1"


def test_it_takes_what_is_written() -> None:
    VALIDATOR.validate(content())


@pytest.mark.parametrize("path", sorted(shipped.demo_days().glob("*.day.json")), ids=lambda path: path.name)
def test_it_takes_the_demo_days(path: Any) -> None:
    VALIDATOR.validate(json.loads(path.read_bytes()))


@pytest.mark.parametrize(
    "change",
    [
        lambda c: c.update(colour="red"),
        lambda c: c.pop("date"),
        lambda c: c["legs"][0].update(origin="ABLE"),
        lambda c: c["legs"][0].pop("from"),
        lambda c: c["legs"][0].update(passengers="12"),
        lambda c: c["legs"][0].update(passengers=-1),
        lambda c: c["services"][0].update(tank="fuel"),
        lambda c: c["usage"]["rinse_l"].update(value=1000),
        lambda c: c["fits"][0]["seats"].update(value=0),
        lambda c: c.update(format="other"),
        lambda c: c.update(version=2),
        lambda c: c.update(title="x" * 401),
    ],
)
def test_it_refuses_what_a_load_refuses(change: Callable[[Content], object]) -> None:
    made = content()
    change(made)
    with pytest.raises(jsonschema.ValidationError):
        VALIDATOR.validate(made)


def test_every_figure_says_what_it_is() -> None:
    schema = json_schema()
    groups = {"usage": "Usage", "policy": "Policy", "fit": "Fit"}
    for name, known in CATALOGUE.items():
        group, _, field = name.partition(".")
        entry = schema["$defs"][groups[group]]["properties"][field]
        for part in (known.label, known.unit, f"{known.low:g}", f"{known.high:g}", known.status, known.source):
            assert part in entry["description"]
