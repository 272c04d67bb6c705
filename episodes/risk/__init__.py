"""Chance: how often a plan holds when lengths of time are drawn instead of taken as likely.

In: a plan at rest with its links and queues, and the estimates behind its lengths. Out: starts and
finishes of every activity in thousands of samples, and how often what holds. Knows nothing of
screens and files. numpy lives here and nowhere else.
"""
