"""First pages, own dates, the calendar and the record of competence."""
