"""The cautions printed on every pack and shown by the command line."""

CAUTIONS: tuple[str, ...] = (
    "Wear a full face shield and stand clear of the line of the rim when the lathe starts.",
    "Switch the lathe off and lock the power before touching belts, cutters or the work.",
    "Core slowly: never above the speed on the card, and never above what the lathe, chuck and "
    "cutter makers allow for this size and mass. The makers' limits come first.",
    "Use sound wood only: no cracks, bark pockets or loose knots.",
    "Set the cutter above centre, never below; feed lightly and clear the shavings often.",
    "Strength, mass and power figures are estimates, never ratings.",
    "Local codes and qualified instruction come before anything printed here.",
)
