"""Storing, switching and dumping energy: bank, charger, single mesh, lamp stress, insulation and its rules.

A charged bank kills. These formulas size and judge; local codes and licensed practice decide.
"""
