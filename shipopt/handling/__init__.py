"""Handling cartons with hands: what a lift may weigh, how high cartons stand, in which order to pack and empty them.

Pure functions on the domain. Nothing here knows of prices, solvers or spreadsheets; the results show what it finds.
"""
