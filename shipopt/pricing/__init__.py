"""What a move costs: carriage, cartons bought and cover fees, each as named lines that sum to a charge.

Pure functions on the domain, exact until one rounding at the end of each charge. Knows nothing of solvers or
spreadsheets; planning, comparing and the results writer call it.
"""
