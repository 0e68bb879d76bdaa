"""Units in which files state power, mass, pressure and force, each in our base unit.

Factors: NIST SP 811; those marked from memory as to further digits.
"""

POUND_KG = 0.45359237  # exact: the international avoirdupois pound

WATTS = {"W": 1.0, "kW": 1000.0, "hp": 745.7}  # 745.6999, further digits from memory
KILOGRAMS = {"kg": 1.0, "lb": POUND_KG}
GRAMS = {"g": 1.0, "kg": 1000.0, "lb": 1000 * POUND_KG, "oz": 1000 * POUND_KG / 16}
KILOPASCALS = {"kPa": 1.0, "MPa": 1000.0, "psi": 6.894757}
NEWTONS = {"N": 1.0, "kN": 1000.0, "lbf": 4.448222}
