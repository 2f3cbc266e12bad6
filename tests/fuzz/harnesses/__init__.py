"""One module for each reader of what people bring: ``read`` takes bytes, ``SEEDS`` are good examples.

Rule: ``read`` raises nothing for any input, except where the reader breaks its own promise.
"""
