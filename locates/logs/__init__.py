"""Files that receivers export, beside the locates they were recorded for."""
