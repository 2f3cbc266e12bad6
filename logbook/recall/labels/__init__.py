"""Labels for boards and for the connectors of boards.

Rule: a label says everything it has to say in plain words, so that it still helps when the site is gone;
what the QR code adds is only the way to the page. One layout in millimetres serves sheets and pictures.
"""
