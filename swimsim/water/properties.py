"""Properties of pool water by temperature."""

from __future__ import annotations

import numpy as np

from ..ground.errors import InputError
from ..ground.tables import read_csv

POOL_C = 27.0  # the usual temperature of a competition pool, 25 to 28 [degrees C]


def density(temperature_c=POOL_C):
    """Density of fresh water. [kg/m3]

    Parameters
    ----------
    temperature_c : float or array_like
        4 to 35; between the printed temperatures a smooth curve runs through them. [degrees C]

    Raises
    ------
    InputError
        A temperature outside the table.

    Notes
    -----
    IAPWS-IF97, as printed in `shared/water_properties.csv`.
    """
    return _column("rho_kg_m3", temperature_c)


def viscosity(temperature_c=POOL_C):
    """Dynamic viscosity of fresh water (IAPWS 2008), 4 to 35 degrees C. [Pa s]"""
    return _column("mu_mPa_s", temperature_c) * 1e-3


def kinematic_viscosity(temperature_c=POOL_C):
    """Viscosity over density. [m2/s]"""
    return viscosity(temperature_c) / density(temperature_c)


def reynolds(speed_m_s, length_m, *, temperature_c=POOL_C):
    """Reynolds number of a body of this size at this speed."""
    return np.asarray(speed_m_s, float) * length_m / kinematic_viscosity(temperature_c)


def froude(speed_m_s, length_m):
    """Speed over the square root of gravity times length: how much of a wave a body makes."""
    return np.asarray(speed_m_s, float) / np.sqrt(9.81 * np.asarray(length_m, float))


def _column(name: str, temperature_c):
    """One printed column at a temperature, by the curve with continuous slope that adds no swing."""
    from scipy.interpolate import PchipInterpolator

    rows = read_csv("water_properties")
    at, values = (np.array([float(row[key]) for row in rows]) for key in ("T_C", name))
    wanted = np.asarray(temperature_c, float)
    if not (np.isfinite(wanted).all() and (wanted >= 4).all() and (wanted <= at[-1]).all()):
        raise InputError(f"temperature_c: expected 4 to {at[-1]:g} degrees C, got {temperature_c!r}")
    return PchipInterpolator(at, values)(wanted)[()]
