"""What an archive says to whoever unpacks it by hand."""

README = """{name}: one project of a Board Logbook, in one file.

Open copy/index.html in any browser: it needs neither a site nor a network.

  copy/       pages to read
  notes/      what was written in words, as Markdown
  evidence/   every file as it was given, named by its SHA-256
  data/       every record, one JSON object a line; one file for each record type
  manifest.json  format and version, counts, and the SHA-256 of every member

Photos are the originals and may say where they were taken. Records name people by their user name.
To read it into a site: manage.py import_archive FILE
"""
