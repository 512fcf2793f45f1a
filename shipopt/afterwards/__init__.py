"""What is done with a results workbook afterwards: the plan in it is read back, carried on, and checked in on arrival.

Knows the input's and the results' declarations and how a plan is priced; how a plan is found is not known here.
"""
