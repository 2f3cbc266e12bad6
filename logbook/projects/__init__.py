"""Projects, who may do what on them, and what a design is made of.

Rule: describes the design; boards, readings and decisions live in the apps above.
"""
