"""The ground's acts, one file each."""
