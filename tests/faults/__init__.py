"""Faults of real processes: each test breaks something, then asks for what was promised and runs verify.

``make faults`` prints what was survived.
"""
