"""Signs in a cow that mean: call the veterinarian now. Common practice, no source; the veterinarian's word governs."""

from __future__ import annotations

CALL_NOW = (
    "down and cannot get up",
    "left side swollen tight, or fighting for breath",
    "calving without progress for an hour, or only a tail, a head or one leg to be seen",
    "womb or gut hanging out, or heavy bleeding",
    "staggering, shaking or dull with cold ears, above all around calving",
    "udder hot and hard or blue and cold, and the cow sick with it",
    "several cows sick together, or after a new feed",
    "dead without a known cause, or with blisters on mouth or feet: the law may want it reported at once",
)

CALL_NOW_SAYS = (
    f"Call the veterinarian now for a cow that is or has: {'; '.join(CALL_NOW)}. "
    "Common practice; what your own veterinarian says goes before it. This book gives no diagnosis."
)
