"""The domain: records, cartons, quotes, cover, care, and the rules of one move.

Frozen values in the workbook's own units, money as decimals, each row carrying the sheet and cell it came
from. Knows nothing of spreadsheets, prices or solvers; every other room builds on it.
"""
