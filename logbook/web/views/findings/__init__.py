"""Views of findings: the list, the page of one, its forms, and the erratum sheet of a revision."""
