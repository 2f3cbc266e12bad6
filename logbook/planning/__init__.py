"""Planning the next spin: state of targets, coverage and the open-risk list. Rule: derives, never stores."""
