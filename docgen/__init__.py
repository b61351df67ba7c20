"""The electrical design submission of a student electric race car, generated and checked from one description."""

VERSION = "0.1.0"
