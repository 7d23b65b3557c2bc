"""Whose numbers: the job in hand, a learner's code, the earring that a code stands for."""
