"""The table that is printed."""


def row(*cells: str) -> None:
    """Print goal, what, product, floor, ratio and the ratio aimed at."""
    goal, what, product, beside, ratio, aim = cells
    print(f"{goal:<5} {what:<62} {product:>12} {beside:>12} {ratio:>8} {aim:>12}", flush=True)  # noqa: T201
