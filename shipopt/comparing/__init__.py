"""Comparing: questions asked of plans by solving variants of a move: without this bidder, with that rule looser.

Each module answers one question with plain values; none knows of spreadsheets. Called by the job.
"""
