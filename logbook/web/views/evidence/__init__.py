"""Pages of evidence: files, what was found in them, and readings taken from them."""
