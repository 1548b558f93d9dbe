"""Files in and out: day files, schedules, messages, tables."""
