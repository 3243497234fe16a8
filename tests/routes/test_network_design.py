"""Design of a network by two ways: the closed form, and the wave on a matched line."""

from __future__ import annotations

import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.network_design import design_network, network_current, network_length


@pytest.mark.parametrize("match", [0.6, 1.0, 1.6])
@pytest.mark.parametrize("sections", [3, 6, 10])
def test_the_design_has_the_energy_length_and_current_wished(match: float, sections: int) -> None:
    network = design_network(1000.0, 400e-6, 60.0, sections, match)
    each = network.section_capacitance
    assert sections * each * network.charge_voltage**2 / 2 == pytest.approx(1000.0, rel=1e-12)
    assert network_length(network.section_inductance, each, sections) == pytest.approx(400e-6, rel=1e-12)
    assert (network.section_inductance / each) ** 0.5 == pytest.approx(network.line_impedance, rel=1e-12)
    current = network_current(60.0, network.charge_voltage, network.line_impedance)
    assert current == pytest.approx(network.current, rel=1e-9)
    assert 60.0 / current**0.5 / network.line_impedance == pytest.approx(match, rel=1e-9)


def test_a_matched_lamp_takes_everything_in_one_double_transit() -> None:
    network = design_network(1000.0, 400e-6, 60.0, 6)
    assert 60.0 * network.current**1.5 * 400e-6 == pytest.approx(1000.0, rel=1e-12)
    assert network.current * network.line_impedance == pytest.approx(network.charge_voltage / 2, rel=1e-12)


@pytest.mark.parametrize(("sections", "match"), [(2, 1.0), (6, 0.1), (6, 6.0)])
def test_what_is_no_network_is_refused(sections: int, match: float) -> None:
    with pytest.raises(DomainError):
        design_network(1000.0, 400e-6, 60.0, sections, match)
