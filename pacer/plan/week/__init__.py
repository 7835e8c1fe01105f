"""The week's rotation: which group is at which station at each visit, or what makes that impossible."""
