"""What stands in the results: the rows of each table, as values, worked out from the plan and its prices.

A row's fields are the keys of its table's columns. No spreadsheet is known here, so that the sheets, the JSON file and
the data frames say the same.
"""
