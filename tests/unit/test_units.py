"""Texts with units: what is read, what is refused and how, and that writing reads back the same."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright import units
from pulsewright.errors import Finding, QuantityError


def refusal(text: str, unit: str) -> Finding:
    with pytest.raises(QuantityError) as refused:
        units.parse(text, unit)
    (finding,) = refused.value.findings
    assert finding.grade == "error"
    assert finding.message
    assert finding.allowed
    assert finding.next_step
    return finding


@pytest.mark.parametrize(
    ("text", "unit", "value"),
    [
        ("2.2 uF", "F", 2.2e-6),
        ("2.2uF", "F", 2.2e-6),
        ("2.2 \u00b5F", "F", 2.2e-6),
        ("2.2 \u03bcF", "F", 2.2e-6),
        ("150 nH", "H", 150e-9),
        ("9.5 kV", "V", 9500.0),
        (" +9.5e3   V ", "V", 9500.0),
        ("-0.5 m", "m", -0.5),
        (".5 m", "m", 0.5),
        ("5. m", "m", 5.0),
        ("6e-5 mol/L", "mol/m^3", 6e-2),
        ("60 uM", "mol/m^3", 6e-2),
        ("60 umol/l", "mol/m^3", 6e-2),
        ("3 L/min", "m^3/s", 5e-5),
        ("10 J/cm^2", "J/m^2", 1e5),
        ("10 J/cm\u00b2", "J/m^2", 1e5),
        ("10 J cm^-2", "J/m^2", 1e5),
        ("10 J\u00b7cm\u207b\u00b2", "J/m^2", 1e5),
        ("5 J/m^2", "J/m^2", 5.0),
        ("13 kA/cm^2", "A/m^2", 1.3e8),
        ("2 MW/cm^2", "W/m^2", 2e10),
        ("6 1/h", "1/s", 6 / 3600),
        ("10 Hz", "1/s", 10.0),
        ("20 cm^3", "m^3", 2e-5),
        ("20 mL", "m^3", 2e-5),
        ("20 degC", "K", 293.15),
        ("-40 degC", "K", 233.15),
        ("20 \u00b0C", "K", 293.15),
        ("68 degF", "K", 293.15),
        ("8000 K", "K", 8000.0),
        ("760 torr", "Pa", 101325.0),
        ("1 atm", "Pa", 101325.0),
        ("1 bar", "Pa", 1e5),
        ("1 mbar", "Pa", 100.0),
        ("20 Mohm", "ohm", 2e7),
        ("15 mohm", "ohm", 15e-3),
        ("2 k\u03a9", "ohm", 2e3),
        ("180 deg", "rad", math.pi),
        ("2 mrad", "rad", 2e-3),
        ("1 in", "m", 0.0254),
        ("5 min", "s", 300.0),
        ("2 h", "s", 7200.0),
        ("0.85", "-", 0.85),
        ("85 %", "-", 0.85),
        ("2 W s", "J", 2.0),
        ("5 W/(m^2 K)", "W/(m^2*K)", 5.0),
        ("28.8 ohm*A^0.5", "ohm*A^0.5", 28.8),
        ("1 V/cm", "V/m", 100.0),
        ("0.01 ohm*cm", "ohm*m", 1e-4),
    ],
)
def test_reads(text: str, unit: str, value: float) -> None:
    assert units.parse(text, unit) == pytest.approx(value, rel=1e-15, abs=0)


def test_the_nearest_float_is_read() -> None:
    assert units.parse("150 nH", "H") == 150e-9
    assert units.parse("0.1 mm", "m") == 1e-4
    assert units.parse("1.5 uH", "H") == 1.5e-6


def test_psi_follows_the_pound_force_and_the_inch() -> None:
    # definition: pound 0.45359237 kg, standard gravity 9.80665 m/s^2, inch 0.0254 m
    assert units.parse("1 psi", "Pa") == pytest.approx(0.45359237 * 9.80665 / 0.0254**2, rel=1e-15)


def test_prefix_case_matters() -> None:
    assert units.parse("5 mJ", "J") == 5e-3
    assert units.parse("5 MJ", "J") == 5e6


def test_a_temperature_difference_has_no_offset() -> None:
    assert units.parse("2 degC", "K", difference=True) == 2.0
    assert units.parse("9 degF", "K", difference=True) == pytest.approx(5.0, rel=1e-15)
    assert units.parse("2 degC", "K") == 275.15


def test_a_wrong_dimension_is_named_and_put_right() -> None:
    finding = refusal("9 kA", "V")
    assert finding.message == '9 kA is a current; a voltage is wanted, for instance "9 kV"'


@pytest.mark.parametrize(
    ("text", "unit", "is_kind", "right"),
    [
        ("4 uH", "F", "an inductance", '"4 uF"'),
        ("100 mm", "Pa", "a length", '"100 mbar"'),
        ("20 C", "K", "a charge", '"20 degC"'),
        ("9 kV", "J/m^2", "a voltage", '"9 J/cm^2"'),
        ("5 kV/A", "V", "a resistance", '"5 kV"'),
    ],
)
def test_wrong_dimensions(text: str, unit: str, is_kind: str, right: str) -> None:
    finding = refusal(text, unit)
    assert f"is {is_kind};" in finding.message
    assert right in finding.message


def test_a_bare_number_is_refused_with_the_right_spelling() -> None:
    finding = refusal("9500", "V")
    assert "has no unit" in finding.message
    assert '"9500 V"' in finding.next_step


def test_a_unit_on_a_plain_number_is_refused() -> None:
    assert "has a unit" in refusal("5 mm", "-").message


def test_a_decimal_comma_is_refused_with_the_point() -> None:
    finding = refusal("1,2 kV", "V")
    assert "decimal comma" in finding.message
    assert '"1.2 kV"' in finding.next_step
    assert '"1200000 V"' in refusal("1,200,000 V", "V").next_step


@pytest.mark.parametrize("text", ["nan V", "NaN", "inf V", "-inf kV", "1e400 V", "1e9999 V"])
def test_what_is_not_finite_is_refused(text: str) -> None:
    assert "not a finite number" in refusal(text, "V").message


def test_a_power_of_ten_spelled_out_is_put_right() -> None:
    assert '"6e-5 mol/L"' in refusal("6 x 10^-5 mol/L", "mol/m^3").next_step
    assert '"6e-5 mol/L"' in refusal("6\u00b710\u207b\u2075 mol/L", "mol/m^3").next_step


@pytest.mark.parametrize(("text", "right"), [("9 KV", '"9 kV"'), ("9 kv", '"9 kV"')])
def test_wrong_case_is_put_right(text: str, right: str) -> None:
    assert right in refusal(text, "V").next_step


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("", "V"),
        ("kV", "V"),
        ("9 volt", "V"),
        ("9.5.1 kV", "V"),
        ("9 kV 3", "V"),
        ("9 kV)", "V"),
        ("9 (kV", "V"),
        ("9 V^", "V"),
        ("9 *V", "V"),
        ("0x10 V", "V"),
        ("1_000 V", "V"),
        ("\u0669 V", "V"),
        ("9 mmin", "s"),
        ("9 cV", "V"),
        ("9 " + "V" * 500, "V"),
        ("9" * 500 + " V", "V"),
        ("9 m^999999999", "m"),
    ],
)
def test_nonsense_is_refused(text: str, unit: str) -> None:
    assert len(str(refusal(text, unit))) < 600


def test_an_ambiguous_quotient_is_refused() -> None:
    assert "ambiguous" in refusal("4 J/kg K", "J/(kg K)").message


def test_a_temperature_scale_in_a_product_is_refused() -> None:
    assert "temperature scale" in refusal("1 degC/m", "K/m").message


def outcome(text: str, unit: str) -> float | Finding:
    """What reading a text gives: a value or a finding, never anything else."""
    try:
        return units.parse(text, unit)
    except QuantityError as refused:
        return refused.findings[0]


def is_sound(result: float | Finding) -> bool:
    return bool(result.message and result.allowed) if isinstance(result, Finding) else math.isfinite(result)


@given(st.text(max_size=30), st.sampled_from(sorted(units.KINDS)))
def test_any_text_is_read_as_finite_or_refused_with_a_finding(text: str, unit: str) -> None:
    assert is_sound(outcome(text, unit))


@given(
    st.from_regex(r"[0-9]{1,3}(\.[0-9]{1,3})?(e-?[0-9]{1,3})? ?[a-zA-Z^/*() 0-9%-]{0,12}", fullmatch=True),
    st.sampled_from(sorted(units.KINDS)),
)
def test_what_looks_like_a_value_is_read_or_refused(text: str, unit: str) -> None:
    assert is_sound(outcome(text, unit))


# Writing ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (2.2e-6, "F", "2.20 uF"),
        (9500.0, "V", "9.50 kV"),
        (999.96, "V", "1.00 kV"),
        (-9500.0, "V", "-9.50 kV"),
        (0.0, "V", "0 V"),
        (1e5, "J/m^2", "100 kJ/m^2"),
        (8123.0, "K", "8120 K"),
        (0.85, "-", "0.850"),
        (1.3e-7, "m^2", "1.30e-7 m^2"),
        (1e20, "W", "1.00e20 W"),
        (math.nan, "V", "not known"),
        (math.inf, "V", "infinite"),
    ],
)
def test_shows(value: float, unit: str, shown: str) -> None:
    assert units.format(value, unit) == shown


@pytest.mark.parametrize(
    ("value", "unit", "display", "shown"),
    [
        (101325.0, "Pa", "torr", "760 torr"),
        (293.15, "K", "degC", "20.0 degC"),
        (1e5, "J/m^2", "J/cm^2", "10.0 J/cm^2"),
        (590e-9, "m", "nm", "590 nm"),
        (0.0044, "-", "%", "0.440 %"),
        (math.pi / 4, "rad", "deg", "45.0 deg"),
    ],
)
def test_shows_in_a_wanted_unit(value: float, unit: str, display: str, shown: str) -> None:
    assert units.format(value, unit, display=display) == shown


def test_a_numpy_number_is_shown_like_any_other() -> None:
    assert units.format(np.float64(9500.0), "V") == "9.50 kV"
    assert units.format(np.float32(0.5), "-", None) == "0.5"


finite = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e30, max_value=1e30)


@given(finite, st.sampled_from(sorted(units.KINDS)))
def test_the_shortest_text_reads_back_the_same(value: float, unit: str) -> None:
    assert units.parse(units.format(value, unit, None), unit) == value


@given(
    st.floats(min_value=1e-12, max_value=1e12),
    st.sampled_from(
        [
            ("Pa", "torr"),
            ("Pa", "psi"),
            ("J/m^2", "J/cm^2"),
            ("m^3/s", "L/min"),
            ("rad", "deg"),
            ("K", "degC"),
            ("-", "%"),
        ]
    ),
)
def test_a_text_in_a_wanted_unit_reads_back_the_same(value: float, pair: tuple[str, str]) -> None:
    unit, display = pair
    assert units.parse(units.format(value, unit, None, display=display), unit) == value


@given(st.floats(min_value=1e-14, max_value=1e14), st.sampled_from(["V", "F", "J/m^2", "m", "s"]))
def test_three_digits_are_within_half_a_digit(value: float, unit: str) -> None:
    assert units.parse(units.format(value, unit), unit) == pytest.approx(value, rel=5.001e-3)


@pytest.mark.parametrize("unit", sorted(units.KINDS))
def test_every_offered_spelling_fits_its_kind(unit: str) -> None:
    for spelling in units.KINDS[unit][1]:
        assert units.read_unit(spelling).dimension == units.read_unit(unit).dimension
        assert units.kind(spelling) == units.KINDS[unit][0]
