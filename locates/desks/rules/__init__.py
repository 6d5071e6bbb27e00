"""Pure: calendars, and what falls due."""
