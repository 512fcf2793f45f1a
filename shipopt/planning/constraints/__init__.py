"""The constraints of the programmes, one function each; the formulation in symbols is a page of DEVELOPERS.md."""
