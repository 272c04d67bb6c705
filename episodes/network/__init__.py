"""What precedes what: activities, links, and the dates that follow from them alone.

In: a season (what was written). Out: a network of activities on their own hours, with earliest
and latest dates by the critical path method. People's queues are not looked at here.
"""
