"""Text from a file inside a sentence: quoted, cut to length, and only text."""

from __future__ import annotations

_LONGEST = 60


def printable(text: str) -> str:
    """The text with everything that does not print (control, format and lone surrogate characters) spelled out.

    A terminal or a log then shows what is there, and nothing in it moves the cursor or turns the writing direction.
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape", "surrogatepass").decode() for c in text)


def quoted(value: object) -> str:
    """A value as it is named in a message: text in quotation marks, cut after 60 characters."""
    if not isinstance(value, str):
        value = str(value)
        return value if len(value) <= _LONGEST else f"{value[:_LONGEST]}…"
    cut = value if len(value) <= _LONGEST else f"{value[:_LONGEST]}…"
    return f'"{printable(cut)}"'
