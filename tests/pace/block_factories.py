"""A whole block as an outline's text: three groups, a swap between two, a share."""

# Invented: a 75-minute block from 9:00, mini lesson to 9:25, three groups.
PLAN = """
format = 1
title = "Fractions on a number line"
[block]
minutes = 75
mini_lesson = 25
move = 2
groups = 3
swap = "1:30"
clean_up = 1
share = 5
[[phase]]
title = "Modeling"
kind = "modeling"
budget = 25
"""
