"""The workbook: the declaration of every sheet and column, the reader, the template, the results.

The read side knows only the domain; the results side also knows prices, risks and plans. How a plan is found
is known nowhere here.
"""
