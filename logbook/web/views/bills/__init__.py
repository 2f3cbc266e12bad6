"""Pages of bills of materials: the parts, importing, comparing, proposing changes, designator rules."""
