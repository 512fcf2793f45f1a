"""Asking for bids and gathering them: a form for carriers that tells what is to be carried and nothing worth stealing,
and its answers merged into a copy of the move's workbook.

Forms that come back are untrusted files. Nothing is planned here. Called by ``shipopt.bids``.
"""
