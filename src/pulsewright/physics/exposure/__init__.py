"""Exposure of people to light: permissible exposure of eye and skin, distances, eyewear, classes."""
