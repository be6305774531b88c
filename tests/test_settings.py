"""Settings: which source wins, and what a person is told when one of them cannot be used."""

from __future__ import annotations

import os
from dataclasses import FrozenInstanceError, fields
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kettleglass.errors import BadInput
from kettleglass.settings import READERS, Settings, default_home, load_settings

USER = Path("/home/ada")


def test_defaults_without_any_source(home):
    assert load_settings() == Settings(home=home, port=8517, altitude_m=0.0, seed=1, scale_step_g=1.0)


def test_flags_win_over_environment_over_file_over_defaults(home):
    (home / "settings.toml").write_text("port = 1001\naltitude_m = 540\nseed = 3\n", encoding="utf-8")
    environment = {"KETTLEGLASS_HOME": str(home), "KETTLEGLASS_PORT": "1002", "KETTLEGLASS_SEED": "4"}
    settings = load_settings(environment, {"port": 1003, "seed": None})
    assert settings == Settings(home=home, port=1003, altitude_m=540.0, seed=4, scale_step_g=1.0)


def test_a_comma_in_the_environment_is_a_decimal_point(home):
    settings = load_settings({"KETTLEGLASS_HOME": str(home), "KETTLEGLASS_SCALE_STEP_G": "0,1"})
    assert settings.scale_step_g == 0.1


def test_a_file_saved_by_a_windows_editor_is_read(home):
    (home / "settings.toml").write_bytes(b"\xef\xbb\xbfseed = 12\r\n")
    assert load_settings().seed == 12


def test_every_setting_has_a_reader_and_is_frozen(home):
    assert {field.name for field in fields(Settings)} == {"home", *READERS}
    with pytest.raises(FrozenInstanceError):
        load_settings().port = 1  # type: ignore[misc]


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("port = ", "is not a TOML file"),
        ("port = 1\nport = 2", "is not a TOML file"),
        ("prot = 1", "There is no setting “prot”"),
        ("prot = 1", "Did you mean “port”?"),
        ("zzz = 1", "There are: port, altitude_m"),
        ("port = 70000", "is 70000. Give a whole number from 0 to 65535."),
        ("port = true", "is True"),
        ("seed = 1.5", "is 1.5. Give a whole number"),
        ("altitude_m = nan", "is nan. Give a number from -430 to 5500 metres."),
        ("altitude_m = inf", "is inf"),
        ('scale_step_g = "1 g"', "is '1 g'. Give a number from 0.001 to 1000 grams."),
        ("scale_step_g = 0", "is 0. Give"),
    ],
)
def test_a_bad_file_is_refused_with_what_to_do(home, text, told):
    (home / "settings.toml").write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as refused:
        load_settings()
    assert told in refused.value.sentence
    assert "settings.toml" in refused.value.sentence
    assert refused.value.remedy


def test_bytes_that_are_no_text_are_refused(home):
    (home / "settings.toml").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadInput, match=r"is not a TOML file"):
        load_settings()


def test_a_folder_in_place_of_the_file_is_refused(home):
    (home / "settings.toml").mkdir()
    with pytest.raises(BadInput, match=r"cannot be read"):
        load_settings()


def test_each_source_is_called_by_its_name(home):
    at_home = {"KETTLEGLASS_HOME": str(home)}
    with pytest.raises(BadInput, match=r"KETTLEGLASS_PORT in the environment is 'eighty'"):
        load_settings({**at_home, "KETTLEGLASS_PORT": "eighty"})
    with pytest.raises(BadInput, match=r"--scale-step-g on the command line is -1"):
        load_settings(at_home, {"scale_step_g": -1})


@given(
    st.dictionaries(st.sampled_from([*READERS, "else"]), st.one_of(st.text(), st.integers(), st.floats(), st.none()))
)
def test_any_flags_give_settings_or_say_what_to_do(flags):
    try:
        settings = load_settings({"KETTLEGLASS_HOME": os.environ["KETTLEGLASS_HOME"]}, flags)
    except BadInput as refused:
        assert refused.remedy
    else:
        assert 0 <= settings.port <= 65535
        assert 0.001 <= settings.scale_step_g <= 1000.0


@pytest.mark.parametrize(
    ("platform", "environment", "expected"),
    [
        ("linux", {}, "/home/ada/.local/share/kettleglass"),
        ("linux", {"XDG_DATA_HOME": "/data"}, "/data/kettleglass"),
        ("linux", {"XDG_DATA_HOME": "relative"}, "/home/ada/.local/share/kettleglass"),
        ("darwin", {}, "/home/ada/Library/Application Support/Kettleglass"),
        ("win32", {"LOCALAPPDATA": "/local"}, "/local/Kettleglass"),
        ("win32", {}, "/home/ada/AppData/Local/Kettleglass"),
    ],
)
def test_the_home_folder_follows_the_habit_of_the_platform(platform, environment, expected):
    assert default_home(environment, platform, USER) == Path(expected)


def test_the_home_folder_may_be_given_with_a_tilde(monkeypatch):
    monkeypatch.setenv("HOME", "/home/ada")
    assert load_settings({"KETTLEGLASS_HOME": "~/soap"}).home == USER / "soap"
