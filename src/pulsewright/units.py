"""Values with units: "2.2 uF" to 2.2e-6 and back.

A text is read with `Decimal`, so that "150 nH" is the float nearest to 150e-9. Any spelling of a
compatible unit is accepted; everything else is refused with what was read, what is wanted and a
right spelling. Prefix case matters: `mJ` and `MJ` are different things.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from decimal import Context, Decimal
from functools import lru_cache
from typing import NoReturn

from pulsewright.errors import Finding, QuantityError

#: Powers of kg, m, s, A, K, mol, rad.
Dimension = tuple[float, ...]

LONGEST_TEXT = 80
_CONTEXT = Context(prec=40, traps=[])
_PI = Decimal("3.141592653589793238462643383279502884197")
_NONE: Dimension = (0.0,) * 7


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit read from text: SI value = (number + offset) * scale."""

    scale: Decimal
    dimension: Dimension
    offset: Decimal = Decimal(0)


def _dimension(**powers: float) -> Dimension:
    return tuple(float(powers.get(name, 0)) for name in ("kg", "m", "s", "A", "K", "mol", "rad"))


_ENERGY = _dimension(kg=1, m=2, s=-2)
_PRESSURE = _dimension(kg=1, m=-1, s=-2)
_ANGLE = _dimension(rad=1)
_TIME = _dimension(s=1)
_LENGTH = _dimension(m=1)

#: Units that take prefixes.
_PREFIXABLE: dict[str, Unit] = {
    "m": Unit(Decimal(1), _LENGTH),
    "g": Unit(Decimal("1e-3"), _dimension(kg=1)),
    "s": Unit(Decimal(1), _TIME),
    "A": Unit(Decimal(1), _dimension(A=1)),
    "K": Unit(Decimal(1), _dimension(K=1)),
    "mol": Unit(Decimal(1), _dimension(mol=1)),
    "M": Unit(Decimal(1000), _dimension(mol=1, m=-3)),
    "rad": Unit(Decimal(1), _ANGLE),
    "sr": Unit(Decimal(1), _dimension(rad=2)),
    "Hz": Unit(Decimal(1), _dimension(s=-1)),
    "N": Unit(Decimal(1), _dimension(kg=1, m=1, s=-2)),
    "Pa": Unit(Decimal(1), _PRESSURE),
    "bar": Unit(Decimal(100000), _PRESSURE),
    "torr": Unit(_CONTEXT.divide(Decimal(101325), Decimal(760)), _PRESSURE),
    "J": Unit(Decimal(1), _ENERGY),
    "eV": Unit(Decimal("1.602176634e-19"), _ENERGY),
    "W": Unit(Decimal(1), _dimension(kg=1, m=2, s=-3)),
    "C": Unit(Decimal(1), _dimension(A=1, s=1)),
    "V": Unit(Decimal(1), _dimension(kg=1, m=2, s=-3, A=-1)),
    "ohm": Unit(Decimal(1), _dimension(kg=1, m=2, s=-3, A=-2)),
    "S": Unit(Decimal(1), _dimension(kg=-1, m=-2, s=3, A=2)),
    "F": Unit(Decimal(1), _dimension(kg=-1, m=-2, s=4, A=2)),
    "H": Unit(Decimal(1), _dimension(kg=1, m=2, s=-2, A=-2)),
    "T": Unit(Decimal(1), _dimension(kg=1, s=-2, A=-1)),
    "L": Unit(Decimal("1e-3"), _dimension(m=3)),
}
_PREFIXABLE["l"] = _PREFIXABLE["L"]
_PREFIXABLE["Ohm"] = _PREFIXABLE["\u03a9"] = _PREFIXABLE["\u2126"] = _PREFIXABLE["ohm"]
_PREFIXABLE["Torr"] = _PREFIXABLE["torr"]

#: Units that do not.
_PLAIN: dict[str, Unit] = {
    "%": Unit(Decimal("0.01"), _NONE),
    "-": Unit(Decimal(1), _NONE),
    "": Unit(Decimal(1), _NONE),
    "min": Unit(Decimal(60), _TIME),
    "minutes": Unit(Decimal(60), _TIME),
    "h": Unit(Decimal(3600), _TIME),
    "hours": Unit(Decimal(3600), _TIME),
    "d": Unit(Decimal(86400), _TIME),
    "deg": Unit(_CONTEXT.divide(_PI, Decimal(180)), _ANGLE),
    "in": Unit(Decimal("0.0254"), _LENGTH),
    "ft": Unit(Decimal("0.3048"), _LENGTH),
    "psi": Unit(Decimal("6894.757293168361336722673445"), _PRESSURE),
    "atm": Unit(Decimal(101325), _PRESSURE),
    "degC": Unit(Decimal(1), _dimension(K=1), Decimal("273.15")),
    "degF": Unit(_CONTEXT.divide(Decimal(5), Decimal(9)), _dimension(K=1), Decimal("459.67")),
}
_PLAIN |= {"\u00b0C": _PLAIN["degC"], "\u00b0F": _PLAIN["degF"], "\u00b0": _PLAIN["deg"]}
_PLAIN["mmHg"] = Unit(Decimal("133.322387415"), _PRESSURE)

#: Micro is u, the micro sign or the small mu.
_POWERS = (-15, -12, -9, -6, -6, -6, -3, 3, 6, 9, 12)
_PREFIXES = {letter: Decimal(10) ** power for letter, power in zip("fpnu\u00b5\u03bcmkMGT", _POWERS, strict=True)}
#: Prefixes kept to the units the trade uses them with.
_CENTI = {"c": Decimal("1e-2"), "d": Decimal("1e-1")}
_CENTI_UNITS = ("m", "L", "l")

#: SI unit -> (what it measures, spellings to offer; the first is the example).
KINDS: dict[str, tuple[str, tuple[str, ...]]] = {
    "V": ("voltage", ("kV", "V", "mV", "uV", "MV")),
    "A": ("current", ("kA", "A", "mA", "uA", "MA")),
    "ohm": ("resistance", ("ohm", "mohm", "kohm", "Mohm", "uohm")),
    "F": ("capacitance", ("uF", "nF", "pF", "mF", "F")),
    "H": ("inductance", ("uH", "nH", "mH", "H", "pH")),
    "C": ("charge", ("C", "mC", "uC")),
    "J": ("energy", ("J", "mJ", "kJ", "uJ", "MJ", "eV")),
    "W": ("power", ("W", "mW", "kW", "MW", "GW")),
    "m": ("length", ("mm", "cm", "m", "um", "nm", "in", "km")),
    "m^2": ("area", ("cm^2", "mm^2", "m^2")),
    "m^3": ("volume", ("L", "mL", "cm^3", "m^3")),
    "s": ("time", ("us", "ns", "ms", "s", "min", "h")),
    "1/s": ("rate", ("1/s", "Hz", "1/h", "1/min", "kHz", "MHz")),
    "m^3/s": ("volume flow", ("L/min", "mL/s", "m^3/h")),
    "kg": ("mass", ("kg", "g", "mg")),
    "kg/m^3": ("density", ("kg/m^3", "g/cm^3", "g/L")),
    "K": ("temperature", ("degC", "K")),
    "J/m^3": ("energy per volume", ("kJ/L", "MJ/L", "J/cm^3", "J/m^3")),
    "Pa": ("pressure", ("torr", "mbar", "bar", "Pa", "kPa", "psi", "atm")),
    "mol": ("amount of substance", ("mol", "mmol", "umol")),
    "mol/m^3": ("concentration", ("mol/L", "mmol/L", "umol/L", "mol/m^3", "M", "mM", "uM")),
    "rad": ("angle", ("deg", "mrad", "rad")),
    "sr": ("solid angle", ("sr",)),
    "J/m^2": ("fluence", ("J/cm^2", "mJ/cm^2", "J/m^2")),
    "W/m^2": ("irradiance", ("W/cm^2", "kW/cm^2", "MW/cm^2", "W/m^2")),
    "W/m^3": ("power density", ("W/cm^3", "W/m^3")),
    "A/m^2": ("current density", ("kA/cm^2", "A/cm^2", "A/m^2")),
    "V/s": ("rate of rise of a voltage", ("kV/us", "V/us", "V/s")),
    "A/s": ("rate of rise of a current", ("kA/us", "A/us", "A/s")),
    "V/m": ("electric field", ("V/cm", "kV/cm", "V/m")),
    "ohm*m": ("resistivity", ("ohm*cm", "ohm*m")),
    "m/s": ("speed", ("m/s", "cm/s")),
    "1/m": ("absorption coefficient", ("1/cm", "1/mm", "1/m")),
    "1/m^3": ("number density", ("1/cm^3", "1/m^3")),
    "A^2*s": ("action integral", ("A^2*s",)),
    "-": ("plain number", ("-", "%")),
}


def kind(unit: str) -> str:
    """What a unit measures, in words: "voltage" for "V"; empty when it has no word here."""
    return (_kinds().get(unit) or _kinds().get(read_unit(unit).dimension, ("", ())))[0]


def spellings(unit: str) -> tuple[str, ...]:
    """Usual spellings of the units that fit where `unit` is wanted."""
    return (_kinds().get(unit) or _kinds().get(read_unit(unit).dimension, ("", (unit,))))[1]


@lru_cache(maxsize=1)
def _kinds() -> dict[Dimension | str, tuple[str, tuple[str, ...]]]:
    """By spelling too, since energy per volume and pressure have one dimension; that is the later row's."""
    spelled: dict[Dimension | str, tuple[str, tuple[str, ...]]] = {one: row for row in KINDS.values() for one in row[1]}
    return {**spelled, **{read_unit(unit).dimension: row for unit, row in KINDS.items()}}


# Reading a unit --------------------------------------------------------------------------------

_TOKEN = re.compile(
    r"\s*(?:(?P<name>[A-Za-z\u00b0\u00b5\u03bc\u03a9\u2126%]+)|(?P<power>(?:\^|\*\*)\s*[+-]?[0-9](?:\.[0-9]+)?)"
    r"|(?P<one>1)|(?P<sign>[*\u00b7./()]))"
)
_SUPERSCRIPT = str.maketrans("\u2070\u00b9\u00b2\u00b3\u2074\u2075\u2076\u2077\u2078\u2079\u207b", "0123456789-")
_RAISED = re.compile("[\u2070\u00b9\u00b2\u00b3\u2074-\u2079\u207b]+")


@lru_cache(maxsize=2048)
def read_unit(text: str) -> Unit:
    """Read a unit: products, quotients, powers and parentheses of known symbols.

    Raises
    ------
    QuantityError
        If a symbol is not known or the text is not a unit.
    """
    text = text.strip()
    plain = _PLAIN.get(text)
    if plain is not None:
        return plain
    if len(text) > LONGEST_TEXT:
        _refuse_unit(text[:20] + "...", "is too long to be a unit")
    raised = _RAISED.sub(lambda found: "^" + found.group().translate(_SUPERSCRIPT), text)
    reader = _UnitReader(raised)
    return reader.whole()


class _UnitReader:
    """Recursive descent over one unit text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.tokens: list[tuple[str, str]] = []
        self.at = 0
        place = 0
        while place < len(text):
            found = _TOKEN.match(text, place)
            if found is None:
                _refuse_unit(text, "is not a unit")
            self.tokens.append((found.lastgroup or "", found.group().strip()))
            place = found.end()

    def whole(self) -> Unit:
        unit = self.product()
        if self.at < len(self.tokens):
            _refuse_unit(self.text, "is not a unit")
        return unit

    def peek(self) -> tuple[str, str]:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("", "")

    def product(self) -> Unit:
        unit = self.factor()
        divided = False
        while True:
            group, word = self.peek()
            if not group or word == ")":
                return unit
            if group == "sign" and word != "(":
                self.at += 1
                divided = divided or word == "/"
                unit = _times(unit, self.factor(), -1.0 if word == "/" else 1.0)
            elif divided:
                _refuse_unit(self.text, "is ambiguous after the stroke", 'Use parentheses, for instance "W/(m^2 K)"')
            else:
                unit = _times(unit, self.factor(), 1.0)

    def factor(self) -> Unit:
        group, word = self.peek()
        self.at += 1
        if group == "name":
            unit = _symbol(word)
        elif group == "one":
            unit = _PLAIN["-"]
        elif word == "(":
            unit = self.product()
            if self.peek()[1] != ")":
                _refuse_unit(self.text, "lacks a closing parenthesis")
            self.at += 1
        else:
            _refuse_unit(self.text, "is not a unit")
        group, word = self.peek()
        if group == "power":
            self.at += 1
            unit = _times(_PLAIN["-"], unit, float(word.lstrip("^*").strip()))
        elif len(self.tokens) == 1:
            return unit
        if unit.offset:
            _refuse_unit(self.text, "mixes a temperature scale into a product", "Use K for temperature differences")
        return unit


def _times(a: Unit, b: Unit, power: float) -> Unit:
    raised = b.scale if power == 1.0 else _CONTEXT.power(b.scale, Decimal(str(power)))
    dimension = tuple(x + power * y for x, y in zip(a.dimension, b.dimension, strict=True))
    return Unit(_CONTEXT.multiply(a.scale, raised), dimension)


def _symbol(word: str) -> Unit:
    found = _PLAIN.get(word) or _PREFIXABLE.get(word)
    if found is not None:
        return found
    rest = _PREFIXABLE.get(word[1:])
    scale = _PREFIXES.get(word[0]) or (_CENTI.get(word[0]) if word[1:] in _CENTI_UNITS else None)
    if rest is None or scale is None:
        _refuse_unit(word, "is not a unit known here")
    return Unit(_CONTEXT.multiply(scale, rest.scale), rest.dimension)


def _refuse_unit(text: str, why: str, next_step: str = "Spell the unit as in docs/build-file.md") -> NoReturn:
    raise QuantityError(
        Finding("error", "", f'"{text}" {why}', 'Units such as "kV", "uF", "J/cm^2", "L/min"', next_step)
    )


# Reading a value -------------------------------------------------------------------------------

_VALUE = re.compile(
    r"\s*([+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,4})?)(?![0-9.,])\s*(.*?)\s*\Z", re.DOTALL
)
_COMMA = re.compile(r"\s*[+-]?[0-9]+(?:,[0-9]+)+")
_TIMES_TEN = re.compile(
    r"([+-]?[0-9.]+)\s*(?:x|\*|\u00d7|\u00b7)\s*10\s*\^?\s*([+-]?[0-9]+|[\u207b\u2070-\u2079\u00b9\u00b2\u00b3]+)"
)


def parse(text: str, unit: str, *, difference: bool = False) -> float:
    """SI value of a text with a unit.

    Parameters
    ----------
    text : str
        For instance "2.2 uF" or "6e-5 mol/L"; for a dimensionless quantity "0.85" or "85 %".
    unit : str
        SI unit of the wanted quantity, for instance "F" or "mol/m^3"; "-" when dimensionless.
    difference : bool
        A temperature is a difference (a spread), so that "2 degC" is 2 K and not 275.15 K.

    Returns
    -------
    value : float
        In `unit`.

    Raises
    ------
    QuantityError
        If the text is not a number with a compatible unit; the finding says what is wanted.

    Examples
    --------
    >>> parse("150 nH", "H")
    1.5e-07
    >>> parse("20 degC", "K")
    293.15
    """
    return _parse(text, unit, difference)


@lru_cache(maxsize=8192)
def _parse(text: str, wanted: str, difference: bool) -> float:
    found = _VALUE.match(text) if len(text) <= LONGEST_TEXT else None
    if found is None:
        _refuse_number(text, wanted)
    number, spelled = found.groups()
    target = read_unit(wanted)
    unit = _unit_of(text, number, spelled, wanted)
    if unit.dimension != target.dimension:
        _refuse_dimension(text, number, spelled, unit, wanted)
    exact = Decimal(number)
    if unit.offset and not difference:
        exact = _CONTEXT.add(exact, unit.offset)
    scale = unit.scale if target.scale == 1 else _CONTEXT.divide(unit.scale, target.scale)
    value = float(_CONTEXT.multiply(exact, scale))
    if not math.isfinite(value):
        _refuse(f"{text.strip()} is not a finite number", wanted, number="1")
    return value


def _unit_of(text: str, number: str, spelled: str, wanted: str) -> Unit:
    try:
        return read_unit(spelled)
    except QuantityError as refused:
        finding = refused.findings[0]
    near = _nearest_unit(spelled, wanted)
    if _TIMES_TEN.match(text.strip()):
        _refuse_number(text, wanted)
    example = f'"{number} {near or spellings(wanted)[0]}"'
    raise QuantityError(
        replace(
            finding,
            message=f"{text.strip()}: {finding.message}",
            allowed=_allowed(wanted),
            next_step=f"Write {example}" if near else f"Write it with such a unit, for instance {example}",
        )
    )


def _nearest_unit(spelled: str, wanted: str) -> str:
    offered = spellings(wanted)
    folded = spelled.casefold().replace(" ", "")
    alike = [unit for unit in offered if unit.casefold() == folded]
    return alike[0] if alike else ""


def _refuse_number(text: str, wanted: str) -> NoReturn:
    shown = text.strip() if len(text) <= LONGEST_TEXT else text[:20].strip() + "..."
    word = shown.lstrip("+-").casefold()
    if word.startswith(("nan", "inf")):
        _refuse(f"{shown} is not a finite number", wanted)
    if _COMMA.match(shown) and shown.count(",") == 1:
        _refuse(f"{shown} has a decimal comma", wanted, f'Write a decimal point: "{shown.replace(",", ".")}"')
    if _COMMA.match(shown):
        _refuse(f"{shown} has commas in its number", wanted, f'Leave them out: "{shown.replace(",", "")}"')
    power = _TIMES_TEN.match(shown)
    if power:
        right = f"{power.group(1)}e{power.group(2).translate(_SUPERSCRIPT)}{shown[power.end() :]}"
        _refuse(f"{shown} is not a number written plainly", wanted, f'Write "{right}"')
    if not shown:
        _refuse("the text is empty", wanted)
    _refuse(f'"{shown}" is not a number with a unit', wanted)


def _refuse_dimension(text: str, number: str, spelled: str, unit: Unit, wanted: str) -> NoReturn:
    text = text.strip()
    example = f'"{number} {_like(spelled, wanted) if spelled else wanted}"'
    word = kind(wanted)
    what = f"{_article(word)} is wanted" if word else f"a value in {wanted} is wanted"
    if unit.dimension == _NONE and not spelled:
        _refuse(f"{text} has no unit; {what}", wanted, f"Write it with its unit, for instance {example}")
    if wanted in ("-", ""):
        message = f"{text} has a unit; a plain number is wanted"
        _refuse(message, wanted, f"Write the number alone, for instance {number}")
    is_word = _kinds().get(unit.dimension, ("", ()))[0]
    is_what = f"is {_article(is_word)}" if is_word else f"is in {spelled}"
    _refuse(f"{text} {is_what}; {what}, for instance {example}", wanted, "Write the value with such a unit")


def _like(spelled: str, wanted: str) -> str:
    """The usual spelling that shares its prefix with what was written: kA where a voltage is wanted gives kV."""
    offered = spellings(wanted)
    alike = [unit for unit in offered if spelled[1:2] and len(unit) > 1 and unit[0] == spelled[0]]
    return alike[0] if alike else offered[0]


def _article(word: str) -> str:
    return f"an {word}" if word[:1] in "aeiou" else f"a {word}"


def _allowed(wanted: str) -> str:
    word = kind(wanted)
    if wanted in ("-", ""):
        return "A plain number, or per cent"
    return f"{_article(word).capitalize() if word else 'A value'} in {', '.join(spellings(wanted)[:4])} or alike"


def _refuse(message: str, wanted: str, next_step: str = "", number: str = "1") -> NoReturn:
    example = number if wanted in ("-", "") else f"{number} {spellings(wanted)[0]}"
    raise QuantityError(
        Finding("error", "", message, _allowed(wanted), next_step or f'Write a value such as "{example}"')
    )


# Writing a value -------------------------------------------------------------------------------

_ENGINEERING = {-15: "f", -12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"}
_HEAD = re.compile(r"([A-Za-z]+)(?![\^A-Za-z])(.*)\Z", re.DOTALL)


def format(value: float, unit: str, digits: int | None = 3, *, display: str = "") -> str:  # noqa: A001  the plain word
    """Text of an SI value, with an engineering prefix where the unit takes one.

    Parameters
    ----------
    value : float
        In `unit`.
    unit : str
        SI unit.
    digits : int or None
        Significant digits; None gives the shortest text that reads back as the same float.
    display : str
        Unit to show it in, for instance "torr"; empty or equal to `unit`: engineering prefix.

    Examples
    --------
    >>> format(2.2e-6, "F")
    '2.20 uF'
    >>> format(13332.2, "Pa", display="torr")
    '100 torr'
    """
    value = float(value)  # also of NumPy, whose repr is no number
    if not math.isfinite(value):
        return "not known" if math.isnan(value) else ("-infinite" if value < 0 else "infinite")
    if display and display != unit:
        return _fixed(value, unit, digits, display)
    head = _HEAD.match(unit)
    if head is None or head.group(1) not in _PREFIXABLE or head.group(1) in ("K", "M", "sr"):
        return f"{_number(Decimal(repr(value)), digits)} {_shown(unit)}".strip()
    exact = Decimal(repr(value)) if digits is None else Decimal(f"{value:.{digits - 1}e}")
    step = 3 * (exact.adjusted() // 3) if exact else 0
    if step not in _ENGINEERING:
        return f"{_number(exact, digits)} {unit}"
    return f"{_number(exact.scaleb(-step), digits)} {_ENGINEERING[step]}{unit}"


def _fixed(value: float, unit: str, digits: int | None, display: str) -> str:
    shown, base = read_unit(display), read_unit(unit)
    scale = _CONTEXT.divide(base.scale, shown.scale)
    exact = _CONTEXT.subtract(_CONTEXT.multiply(Decimal(repr(value)), scale), shown.offset)
    if digits is not None:
        return f"{_number(exact, digits)} {_shown(display)}".strip()
    for enough in (15, 16, 17):
        text = f"{_number(Decimal(f'{exact:.{enough - 1}e}'), None)} {_shown(display)}".strip()
        if _parse(text, unit, False) == value:
            return text
    return format(value, unit, None)


def _shown(unit: str) -> str:
    return "" if unit == "-" else unit


def _number(exact: Decimal, digits: int | None) -> str:
    """Plain notation where it stays short, otherwise with an exponent."""
    if digits is None:
        exact = exact.normalize()
        plain = -6 < exact.adjusted() < 7
        return f"{exact:f}" if plain else f"{exact:e}".replace("e+", "e")
    if not exact:
        return "0"
    rounded = Decimal(f"{exact:.{digits - 1}e}")
    power = rounded.adjusted()
    if -3 <= power < 6:
        return f"{rounded:.{max(digits - 1 - power, 0)}f}"
    return f"{rounded:.{digits - 1}e}".replace("e+", "e")
