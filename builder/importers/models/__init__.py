"""A house type from a building model (IFC, ISO 16739) or a drawing (DXF)."""
