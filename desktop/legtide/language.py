"""Words in the user's language: one catalogue a process, set before anything is shown.

Catalogues are `resources/translations/<language>.json`, English sentence -> translated sentence. Values are put in
after the look-up (`tr("Saved {name}").format(name=...)`), so that the sentence is the same every time. Nothing sets a
language but the window and the commands that paint pages: what other programs read is always English.
"""

from __future__ import annotations

import json
from collections.abc import Mapping

from legtide.shipped import resources

ENGLISH = "en"
_LARGE_NOUNS = ("de",)
_catalogue: dict[str, str] = {}
_language = ENGLISH


def languages() -> tuple[str, ...]:
    """The languages that there are, English first."""
    return ENGLISH, *sorted(path.stem for path in (resources() / "translations").glob("*.json"))


def language() -> str:
    """The language in use."""
    return _language


def load_language(name: str) -> bool:
    """Takes the catalogue of a language; False (and English) when there is none."""
    use_catalogue({})
    if name == ENGLISH:
        return True
    if name not in languages():
        return False
    use_catalogue(json.loads((resources() / "translations" / f"{name}.json").read_text("utf-8")), name)
    return True


def use_catalogue(catalogue: Mapping[str, str], name: str = ENGLISH) -> None:
    """Takes translations as they are; an empty mapping is English."""
    global _language
    _catalogue.clear()
    _catalogue.update(catalogue)
    _language = name


def tr(text: str) -> str:
    """A sentence in the user's language; English where the catalogue has none."""
    return _catalogue.get(text, text)


def counted(number: int, one: str, many: str) -> str:
    """One of two translated sentences with `{n}` put in."""
    return tr(one if number == 1 else many).format(n=number)


def capped(text: str) -> str:
    """A phrase as a sentence or a label begins with it."""
    return text[:1].upper() + text[1:]


def inside(text: str) -> str:
    """A phrase as it stands inside a sentence: with a small first letter, unless the language writes nouns large."""
    return text if _language in _LARGE_NOUNS else text[:1].lower() + text[1:]
