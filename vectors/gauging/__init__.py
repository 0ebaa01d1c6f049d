"""This package makes gauges, sheets on which a maker measures what no profile can know.

A gauge is drawn without kerf compensation, for that is what it measures.  The
readings come back in a form and become the maker's own profile.
"""
