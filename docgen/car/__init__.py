"""The description of a car: frozen models, one subject a file, `Car` at the root."""

from docgen.car.car import Car

__all__ = ["Car"]
