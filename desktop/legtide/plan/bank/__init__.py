"""A station's bank: which truck serves which turn when.

`problem` holds what is asked, `answer` what is given back, `solver.solve` leads from one to the other, and
`checker.violations` says whether a plan keeps every rule. Everything here is pure and free of any toolkit.
"""
