"""The curriculum's lesson split between the whole group, the table and the rest."""
