"""Measuring plans: realistic invented moves of any size, peers to plan them with, and a harness that runs both."""
