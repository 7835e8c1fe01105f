"""The Wall. It gets a WallFrame and nothing else."""
