"""How answers look: plain text, JSON and CSV of what the jobs return."""
