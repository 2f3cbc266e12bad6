"""Views of lessons: the site's list, one lesson, its forms, and what a revision is asked."""
