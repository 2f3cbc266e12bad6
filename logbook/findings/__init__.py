"""Findings: what is wrong or surprising, from the first suspicion to the reading that proves the fix.

Rule: what a finding says may be changed with a record; how far its life has come is only ever added to.
"""
