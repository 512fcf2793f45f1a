"""The version of the program, for the package's metadata, the command line and the results."""

__version__ = "0.1.0"
