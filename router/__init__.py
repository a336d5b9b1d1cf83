"""Plans how an accessory cable runs under a vehicle; the layers are drawn in DEVELOPERS.md."""

__version__ = "0.1.0"
