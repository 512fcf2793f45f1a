"""Plans the move of a record collection: which record in which carton, with whom, under which cover."""

__version__ = "0.1.0"
