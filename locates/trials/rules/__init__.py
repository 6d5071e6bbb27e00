"""Pure: what a trial hole, a planned line or a report to an owner may hold."""
