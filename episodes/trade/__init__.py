"""What the trade knows: products and how they dry, carriers, cautions, recipes.

In: data files read by `files`, the air of a space. Out: frozen products and drying times. Every
value names its source. Knows nothing of plans.
"""
