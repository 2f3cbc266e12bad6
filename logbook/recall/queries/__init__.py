"""Reads of recall."""
