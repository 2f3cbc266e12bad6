from typing import Any

import pytest

from logbook.core.errors import FormulaError
from logbook.core.trade import INTERFACE_FIGURES, interface_figure
from tests.core.samples.golden import entries

FIGURES: dict[tuple[str, str], tuple[str, ...]] = {
    ("F-18", "host_min"): ("usb-vbus-host.low",),
    ("F-18", "host_max"): ("usb-vbus-host.high",),
    ("F-18", "low_power_min"): ("usb-vbus-low-power.low",),
    ("F-19", "FS"): ("usb-full-speed.low", "usb-full-speed.high"),
    ("F-19", "LS"): ("usb-low-speed.low", "usb-low-speed.high"),
    ("F-19", "HS"): ("usb-high-speed.low", "usb-high-speed.high"),
    ("F-20", "threshold"): ("rs485-threshold.high",),
    ("F-20", "d422"): ("rs422-driver.low",),
    ("F-20", "d485"): ("rs485-driver.low",),
    ("F-20", "cm485"): ("rs485-common-mode.low", "rs485-common-mode.high"),
    ("F-20", "cm422"): ("rs422-common-mode.low", "rs422-common-mode.high"),
    ("F-20", "loads"): ("rs485-unit-loads.high",),
    ("F-21", "VIH"): ("lvttl-vih.low",),
    ("F-21", "VIL"): ("lvttl-vil.high",),
    ("F-21", "VOH"): ("lvttl-voh.low",),
    ("F-21", "VOL"): ("lvttl-vol.high",),
    ("F-21", "VOH_cmos_below_VDD"): ("lvcmos-voh-below-vdd.high",),
    ("F-21", "VOL_cmos"): ("lvcmos-vol.high",),
    ("F-24", "tr_std"): ("i2c-rise-standard.high",),
    ("F-24", "tr_fast"): ("i2c-rise-fast.high",),
    ("F-24", "tr_fmplus"): ("i2c-rise-fast-plus.high",),
    ("F-24", "iol_std_fast"): ("i2c-sink.low",),
    ("F-24", "iol_fmplus"): ("i2c-sink-fast-plus.low",),
    ("F-24", "vol"): ("i2c-vol.high",),
    ("F-24", "cb"): ("i2c-bus-standard.high", "i2c-bus-fast.high", "i2c-bus-fast-plus.high"),
    ("F-35", "elv_ac"): ("elv-ac.high",),
    ("F-35", "elv_dc"): ("elv-dc.high",),
    ("F-35", "selv_dc"): ("selv-dc.high",),
    ("F-35", "selv_peak"): ("selv-peak.high",),
    ("F-35", "selv_rms"): ("selv-rms.high",),
    ("F-42", "lvds"): ("lvds-output.low", "lvds-output.high"),
    ("F-42", "vos"): ("lvds-offset.low", "lvds-offset.high"),
    ("F-42", "rs232_rx"): ("rs232-threshold.high",),
    ("F-42", "rs232_tx"): ("rs232-driver.low",),
}


def figure(path: str) -> Any:
    key, _, bound = path.partition(".")
    return getattr(interface_figure(key), bound)


@pytest.mark.parametrize(("entry", "name"), FIGURES, ids=" ".join)
def test_it_holds_the_published_figure(entry: str, name: str) -> None:
    found = [figure(path) for path in FIGURES[entry, name]]
    expected = entries("electronics")[entry]["expected"][name]
    assert found == pytest.approx(expected if isinstance(expected, list) else [expected], rel=1e-12)


def test_every_published_figure_is_there() -> None:
    facts = {key: case for key, case in entries("electronics").items() if case["calc"] in {"fact", "usbrate"}}
    assert {(key, name) for key, case in facts.items() for name in case["expected"]} == set(FIGURES)


def test_every_figure_names_its_source() -> None:
    assert all(figure.source for figure in INTERFACE_FIGURES.values())


def test_it_refuses_an_unknown_key() -> None:
    with pytest.raises(FormulaError):
        interface_figure("magic")
