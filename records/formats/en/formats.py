"""A day and an instant that nobody can misread: the month in letters, the hours to 24, the zone named."""

DATE_FORMAT = SHORT_DATE_FORMAT = "j M Y"
DATETIME_FORMAT = SHORT_DATETIME_FORMAT = "j M Y H:i:s e"
TIME_FORMAT = "H:i:s"
