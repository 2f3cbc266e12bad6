"""What the pages of reports show, gathered once for the browser and for the PDF file."""
