"""What stands behind a record: for now the notes, written in Markdown and shown as safe HTML."""
