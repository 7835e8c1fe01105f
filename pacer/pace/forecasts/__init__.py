"""What past lessons say of the one that runs: durations that were cut off, sums of them, odds."""
