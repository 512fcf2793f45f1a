"""A second working-out of everything a plan says: totals, rules, and the best plan of a tiny move.

Written from the written rules alone. Nothing here imports the program's pricing, risk or planning; only the
values of the domain are shared, so that a fault of theirs cannot hide in here.
"""
