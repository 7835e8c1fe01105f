"""The chosen output is that very one, and outputs that lead to the class are told apart."""

import pytest

from pacer.earpiece.outputs import Output, is_there

EARBUD = Output("usb-1", "Earbud")


def test_the_chosen_output_is_there_only_with_its_id_and_its_name():
    assert is_there(EARBUD, [Output("card-0", "Speakers"), EARBUD])
    assert not is_there(EARBUD, [])
    assert not is_there(EARBUD, [Output("usb-1", "Speakers")]), "another device on the same socket"
    assert not is_there(EARBUD, [Output("usb-2", "Earbud")]), "another one of that name"


def test_no_choice_is_never_there():
    assert not is_there(Output("", ""), [Output("", "")])


@pytest.mark.parametrize(
    ("id_", "name"),
    [
        ("alsa_output.pci-0000_00_1f.3.hdmi-stereo", "Built-in Audio Digital Stereo"),
        ("x", "HDMI / DisplayPort 2 Output"),
        ("x", "Display Port"),
        ("x", "Classroom projector"),
        ("x", "TV"),
    ],
)
def test_an_output_along_the_cable_of_a_picture_is_told(id_, name):
    assert Output(id_, name).may_be_the_class_screen


@pytest.mark.parametrize(
    ("id_", "name"), [("usb-1", "Earbud"), ("x", "Headphones"), ("alsa_output.usb-odp", "Udp headset")]
)
def test_an_earbud_is_not_taken_for_a_screen(id_, name):
    assert not Output(id_, name).may_be_the_class_screen
