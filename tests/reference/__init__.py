"""The tables of a club folder computed a second time, from the written format alone.

Nothing in here uses the program: other parsers, other data structures, other arithmetic. Where
both agree on every figure, an error would have to have been made twice.
"""
