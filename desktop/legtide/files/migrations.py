"""Older versions of the day file, brought to the present one step at a time.

A step is a function that takes the plain content of version n and returns that of version n + 1; it works on JSON
(dicts, lists, texts, numbers), never on the models, which only know the present version. Version 1 is the first:
there is no step yet. To add one, raise `VERSION` in `day/document.py`, write the step here, and put it into `STEPS`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from legtide.language import tr

Content = dict[str, Any]
Step = Callable[[Content], Content]

STEPS: Final[Mapping[int, Step]] = {}
"""Version n -> the step from n to n + 1."""


class NoStepError(LookupError):
    """A version that no step leads away from."""


def migrate(content: Content, version: int, to: int, steps: Mapping[int, Step] = STEPS) -> Content:
    """The content of an older version in the form of version `to`; the same object when it is already that.

    Raises NoStepError when a step is missing on the way.
    """
    for number in range(version, to):
        step = steps.get(number)
        if step is None:
            raise NoStepError(tr("version {version} of the day file is not known").format(version=number))
        content = {**step(content), "version": number + 1}
    return content
