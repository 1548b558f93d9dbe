"""`legtide schema`: the JSON Schema of the day file."""

from __future__ import annotations

from argparse import ArgumentParser, Namespace

from legtide.cli.command import DONE, Command, emit_json


def _add_arguments(parser: ArgumentParser) -> None:
    """There are none."""


def _run(options: Namespace) -> int:
    from legtide.files.schema import json_schema

    emit_json(json_schema())
    return DONE


COMMAND = Command("schema", "print the JSON Schema of the day file", _add_arguments, _run)
