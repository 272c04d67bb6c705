"""The feasible plan: who does what when, under every rule, for all episodes together.

In: a network with its dates. Out: a plan with a start, a finish and a reason for everything, and
what can be proved of it. Knows nothing of chance and nothing of how it is shown.
"""
