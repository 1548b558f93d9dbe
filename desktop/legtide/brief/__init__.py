"""Pages for people: the briefing page and the run sheets."""
