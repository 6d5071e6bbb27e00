"""Pure: a receiver's log read by a layout, what it shows of each mode's use, and how that stands beside the sweeps claimed."""
