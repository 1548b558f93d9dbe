"""Messages of the trade, pasted as text: movement and load messages, weather reports.

`read_messages` reads text into records, `apply` puts the records on a day. Neither fails: what cannot be read, and
what the day does not know, is listed with its line and a reason.
"""

from legtide.files.messages.applying import Outcome, apply
from legtide.files.messages.changes import Change
from legtide.files.messages.reader import read_messages
from legtide.files.messages.records import Messages, Note, NotUnderstood

__all__ = ["Change", "Messages", "NotUnderstood", "Note", "Outcome", "apply", "read_messages"]
