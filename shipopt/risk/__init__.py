"""What is left uninsured: its expectation for each carton, and its exact distribution over a whole move.

Works on the domain only. Knows nothing of solvers or spreadsheets; planning, comparing and the results writer call it.
"""
