"""Fixed words of calculations."""

from django.db import models


class Method(models.TextChoices):
    """Ways to add up tolerances; each gives a band."""

    EXTREME = "extreme", "extreme"
    ROOT_SUM_SQUARE = "root_sum_square", "root sum square"
    MONTE_CARLO = "monte_carlo", "Monte Carlo"
