"""Pages on paper: the briefing page of an aircraft and the run sheets of trucks, as PDF and as preview."""
