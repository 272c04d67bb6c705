"""Exact search: the plan as a constraint model, so that a verdict comes with its proof.

In: a network, what is fixed, and a question (a room out by a moment, as early as can be, a parcel
as late as can be). Out: a plan checked by the engine's own rules, and a bound that no plan beats.
OR-Tools (CP-SAT) is imported only with `search.py`, which is imported only when something is to be
searched: half a second that an answer from dates and bounds need not pay.

Exactly as the engine has it, to the minute: hours with work that pauses, one-go, `any_of`, people
across pauses, gear and places, `alone`, drying that holds a place, air and what lingers in it,
two-sided windows, longest recoat times, parcels by their carriers' days, facts, tied waits.

Relaxed, so that a proof of `slips` stays a proof and a plan found is checked again:

- rooms farther than the one asked about (and nearer ones that bind nothing) are left out; their
  plan is completed afterwards by the planner;
- what is optional, or behind a release without a last moment, is left out likewise;
- a coat that dries across a change of air in more than `MOST_PIECES` different lengths: the length
  is known only between two bounds there.
"""
