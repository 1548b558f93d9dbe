"""Which language the window speaks: the user's choice or the system's, and the toolkit's own words in it."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from PySide6.QtCore import QLibraryInfo, QLocale, QTranslator
from PySide6.QtWidgets import QApplication

from legtide.language import ENGLISH, languages, load_language

SYSTEM: Final = "system"
NAMES: Final = {"en": "English", "de": "Deutsch"}
"""Each language in itself: whoever looks for it finds it in any other."""
_WORDS: Final = "words of the toolkit"


def spoken(choice: str, wanted: Iterable[str]) -> str:
    """The language to speak: the one that is chosen, else the first that the system wants and that there is."""
    known = languages()
    if choice != SYSTEM:
        return choice if choice in known else ENGLISH
    return next(
        (name for name in (want.replace("_", "-").partition("-")[0] for want in wanted) if name in known), ENGLISH
    )


def take_language(application: QApplication, choice: str) -> str:
    """Speaks a language from here on, and returns it. What is shown already stays as it is."""
    name = spoken(choice, QLocale.system().uiLanguages())
    load_language(name)
    for old in application.findChildren(QTranslator, _WORDS):
        application.removeTranslator(old)
        old.deleteLater()
    if name != ENGLISH:
        words = QTranslator(application)
        words.setObjectName(_WORDS)
        if words.load(f"qtbase_{name}", QLibraryInfo.path(QLibraryInfo.LibraryPath.TranslationsPath)):
            application.installTranslator(words)
    return name
