"""Who has what, when: calendars of units, gear types, rooms and people, and feeds for other calendars."""
