"""What follows from the facts before anything is judged: currents, limits, ampacities, minimum sizes, fills.

Every function takes a Site and returns a `Derived`, or raises Missing. No function here says whether anything meets.
"""
