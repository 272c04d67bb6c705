"""One question a module: a season in, a frozen answer out.

Answers hold everything a command or a screen shows; how it is shown is not known here.
"""
