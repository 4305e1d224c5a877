"""Who may open a board: by a link that is shown once, and by a cookie that is another secret."""

from __future__ import annotations

import stat

import pytest

from prepboard.boards.web import devices as kept
from prepboard.boards.web.devices import COOKIES, Device, DeviceFault, Devices


@pytest.fixture
def devices(tmp_path):
    return Devices(tmp_path / "kitchen.db")


def test_a_link_lets_in_and_gives_another_secret(devices):
    secret = devices.add(Device("fish tablet", "station", ("fish",)))
    device, cookie = devices.enter(secret)
    assert device.name == "fish tablet"
    assert devices.of_cookie(cookie).name == "fish tablet"
    assert devices.of_cookie(secret) is None
    assert devices.enter(cookie) is None


def test_secrets_have_256_bits_and_only_their_digests_are_kept(devices):
    secret = devices.add(Device("wall", "wall"))
    _device, cookie = devices.enter(secret)
    kept = devices.path.read_text(encoding="utf-8")
    assert len(secret) == len(cookie) == 43  # 256 bits in base64 without padding (RFC 4648 section 5)
    assert secret not in kept
    assert cookie not in kept


def test_the_file_is_its_owners_only(devices):
    devices.add(Device("wall", "wall"))
    assert stat.S_IMODE(devices.path.stat().st_mode) == 0o600


def test_a_removed_device_comes_in_no_more(devices):
    secret = devices.add(Device("fish tablet", "station", ("fish",)))
    _device, cookie = devices.enter(secret)
    devices.remove("Fish Tablet")
    assert devices.enter(secret) is None
    assert devices.of_cookie(cookie) is None


def test_another_process_sees_a_removal(devices, tmp_path):
    secret = devices.add(Device("fish tablet", "station", ("fish",)))
    other = Devices(tmp_path / "kitchen.db")
    assert other.enter(secret)
    devices.remove("fish tablet")
    assert other.enter(secret) is None


def test_a_name_is_there_once_and_an_unknown_one_is_said(devices):
    devices.add(Device("wall", "wall"))
    with pytest.raises(DeviceFault, match="already"):
        devices.add(Device("Wall", "wall"))
    with pytest.raises(DeviceFault, match="There is: wall"):
        devices.remove("window")


def test_the_oldest_browser_of_a_link_goes(devices):
    secret = devices.add(Device("wall", "wall"))
    cookies = [devices.enter(secret)[1] for _ in range(COOKIES + 1)]
    assert devices.of_cookie(cookies[0]) is None
    assert all(devices.of_cookie(cookie) for cookie in cookies[1:])


def test_a_damaged_file_is_said(devices):
    devices.path.write_text("{")
    with pytest.raises(DeviceFault, match="cannot be read"):
        devices.all()


@pytest.mark.parametrize("same", [True, False])
def test_secrets_are_compared_in_constant_time_with_all_that_are_kept(devices, monkeypatch, same):
    """What compares is `hmac.compare_digest`, whatever it answers, and it is asked of each: how long a wrong secret
    takes says nothing of a right one (CWE-208)."""
    secrets = [devices.add(Device(name, "wall")) for name in ("kitchen", "pass", "yard")]
    cookies = [devices.enter(secret)[1] for secret in secrets]
    asked = []
    monkeypatch.setattr(kept.hmac, "compare_digest", lambda one, other: asked.append((one, other)) or same)
    device = devices.of_cookie("of nobody" if same else cookies[0])
    assert (device is not None) == same
    entered = devices.enter("of nobody" if same else secrets[0])
    assert (entered is not None) == same
    assert len(asked) == 6
    assert {len(one) for pair in asked for one in pair} == {64}
