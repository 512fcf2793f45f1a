"""The sheets of the results workbook, one module each: what stands where, and which figures are live formulas.

Each has a function ``write`` that takes the page to fill and the results; the registry names them in order.
"""
