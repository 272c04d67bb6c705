"""When something may happen: hours, holidays, daylight, carriers' days, release day.

In: weekly hours, days off, a zone, a span of time. Out: sorted disjoint openings in UTC minutes
and the calculus on them. Knows nothing of plans.
"""
