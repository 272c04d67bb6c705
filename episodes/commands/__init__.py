"""The command line, thin: read what was typed, ask the engine, show the answer.

In: words and the clock. Out: text or JSON on standard output, faults on standard error, an exit
code. Only here is the clock read.
"""
