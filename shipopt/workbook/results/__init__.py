"""The results of a plan: a workbook, the same as JSON, and the same as data frames.

``rows`` works out what stands in each table, ``sheets`` says where, ``page`` and ``look`` how it is written. All
totals come from pricing and risk run over the finished plan. How a plan is found is not known here.
"""
