"""An invented firm with three sites and a year of records, all dated from one given instant; and what the demo command does with it."""
