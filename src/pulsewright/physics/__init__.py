"""Pure functions of physics, one module a phenomenon.

Every coefficient is an argument; no function reads a file. Public functions carry the full
docstring (units in brackets, validity, equation, source), and the formula shelf is made from it.
"""
