"""Being here puts this folder on the path, so that tests of every room share its builders (module invented)."""
