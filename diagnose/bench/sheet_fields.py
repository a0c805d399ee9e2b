"""The numbers that the shop's data sheet of a shock may hold, and what stands in for a missing one.

Where no stand-in is stated, one would be an invention: the value is asked for.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

__all__ = ["SHEET_FIELDS", "SheetField"]


@dataclass(frozen=True)
class SheetField:
    """One number of the data sheet that a formula may use.

    Parameters
    ----------
    unit : of the number on the sheet; also the end of the field's name.
    kind : key of `kinds.KINDS`.
    text : what it is.
    known : half-width within which a value on the sheet is true [unit].
    typical, width : stand-in and its half-width where the sheet is silent [unit]; None where a
        stand-in would be an invention.
    """

    unit: str
    kind: str
    text: str
    known: float
    typical: float | None = None
    width: float = 0.0


# Typical ranges: common practice (no source); charge and shaft from memory: most are charged with
# 200 to 300 psi, some with 150 to 500, on shafts of 8 to 12.7 mm.
SHEET_FIELDS: Mapping[str, SheetField] = {
    "air_can_volume_cc": SheetField("cc", "can volume", "air can volume", 5, 100, 50),
    "hose_volume_cc": SheetField("cc", "hose volume", "hose and gauge volume", 0.5, 3, 2),
    "stroke_mm": SheetField("mm", "stroke", "stroke", 0.5, 55, 10),
    "eye_to_eye_mm": SheetField("mm", "eye-to-eye length", "marked eye-to-eye length", 0.5),
    "shaft_diameter_mm": SheetField("mm", "shaft diameter", "shaft diameter", 0.05, 10, 2.5),
    "charge_psi": SheetField("psi", "charge pressure", "gas charge", 5, 250, 150),
    "set_pressure_psi": SheetField("psi", "usual pressure", "usual set pressure", 3, 170, 50),
    "maximum_pressure_psi": SheetField("psi", "maximum pressure", "marked maximum", 1),
    "wanted_sag_percent": SheetField("%", "percentage", "sag wanted", 0.1, 30, 5),
    "damper_bore_mm": SheetField("mm", "small length", "damper bore", 0.05),
    "ifp_depth_mm": SheetField("mm", "stroke length", "depth of the floating piston", 0.5),
    "oil_volume_cc": SheetField("cc", "oil volume", "oil volume", 1),
    "oil_at_40c_mm2_s": SheetField("mm2/s", "viscosity", "oil viscosity at 40 C", 0.5),
    "oil_at_100c_mm2_s": SheetField("mm2/s", "viscosity", "oil viscosity at 100 C", 0.1),
    "seal_head_torque_nm": SheetField("N·m", "torque", "seal head torque", 0.5),
}
