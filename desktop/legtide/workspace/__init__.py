"""The only owner of the open day: commands, pacing, jobs, autosave, settings."""
