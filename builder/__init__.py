"""The handover pack builder: a housebuilder's data in, a guide for every single home out."""

__version__ = "0.1.0"
