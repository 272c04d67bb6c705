"""An independent referee: reads plan files and answers by the written contract alone.

Nothing here imports the program's own calendars, network or planner. Hours are bitmaps of minutes,
rules are checked one by one, dates come from a plain fixpoint: slow, and meant to be obviously
right. The program is compared with it on generated seasons (`tests/properties`).
"""
