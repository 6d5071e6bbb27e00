"""Pure: awards, how somebody stands by them, what each role needs, and who could stand in."""
