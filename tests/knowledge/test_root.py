"""Where the files lie, and a cache that is believed only where everything fits."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.errors import InputError, KnowledgeError
from diagnose.knowledge import root as place
from diagnose.knowledge.root import cases_root, knowledge_root, load_cached
from tests.kettle import PACK, write_kettle

TOP = Path(__file__).resolve().parents[2]
BURNT = "kettle/causes/element_burnt.yaml"


def caches(folder: Path) -> list[Path]:
    return sorted(folder.glob("*.json"))


def test_a_checkout_brings_its_own_files() -> None:
    assert knowledge_root() == TOP / "knowledge"
    assert cases_root() == TOP / "cases"


def test_an_option_comes_first(tmp_path: Path) -> None:
    assert knowledge_root(str(tmp_path)) == tmp_path.resolve()
    with pytest.raises(InputError) as caught:
        knowledge_root(str(tmp_path / "none"))
    assert str(caught.value).startswith("--knowledge: there is no folder")


def test_an_installed_copy_takes_the_packages_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    package = tmp_path / "lib" / "diagnose"
    (package / "_data" / "knowledge").mkdir(parents=True)
    monkeypatch.setattr(place, "_PACKAGE", package)
    assert knowledge_root() == package / "_data" / "knowledge"
    with pytest.raises(InputError, match="the cases files are missing"):
        cases_root()


def test_the_cache_gives_the_same_knowledge(tmp_path: Path) -> None:
    root, cache = write_kettle(tmp_path), tmp_path / "cache"
    first = load_cached(root, cache, PACK)
    assert len(caches(cache)) == 1
    assert load_cached(root, cache, PACK) == first == load_cached(root, None, PACK)


def test_the_cache_is_read_and_not_only_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root, cache = write_kettle(tmp_path), tmp_path / "cache"
    load_cached(root, cache, PACK)
    monkeypatch.setattr(place, "load", lambda *_: pytest.fail("the files were read again"))
    assert load_cached(root, cache, PACK).pack.id == PACK


def test_changed_files_are_read_again_and_the_old_cache_goes(tmp_path: Path) -> None:
    cache = tmp_path / "cache"
    load_cached(write_kettle(tmp_path), cache, PACK)
    before = caches(cache)
    changed = load_cached(write_kettle(tmp_path, {f"{BURNT}:name": "burnt"}), cache, PACK)
    assert changed.causes["element_burnt"].name == "burnt"
    assert len(caches(cache)) == 1
    assert caches(cache) != before


def test_a_cache_of_another_version_is_not_believed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    root, cache = write_kettle(tmp_path), tmp_path / "cache"
    load_cached(root, cache, PACK)
    before = caches(cache)
    monkeypatch.setattr(place, "_code", lambda: b"another version")
    load_cached(root, cache, PACK)
    assert caches(cache) != before


@pytest.mark.parametrize("damage", [b"", b"{", b"null", b'{"fingerprint": "x"}', b"\xff\xfe"])
def test_a_damaged_cache_is_read_over(tmp_path: Path, damage: bytes) -> None:
    root, cache = write_kettle(tmp_path), tmp_path / "cache"
    sound = load_cached(root, cache, PACK)
    (path,) = caches(cache)
    path.write_bytes(damage)
    assert load_cached(root, cache, PACK) == sound
    assert path.read_bytes() != damage


def test_a_cache_of_other_cards_under_the_right_name_is_read_over(tmp_path: Path) -> None:
    root, cache = write_kettle(tmp_path), tmp_path / "cache"
    sound = load_cached(root, cache, PACK)
    (path,) = caches(cache)
    other = sound.model_copy(update={"fingerprint": "0" * 16, "causes": {}})
    path.write_text(other.model_dump_json(), "utf-8")
    assert load_cached(root, cache, PACK) == sound


def test_where_nothing_can_be_kept_it_works_without(tmp_path: Path) -> None:
    in_the_way = tmp_path / "cache"
    in_the_way.write_text("a file, not a folder")
    assert load_cached(write_kettle(tmp_path), in_the_way, PACK).pack.id == PACK


def test_broken_cards_are_never_kept(tmp_path: Path) -> None:
    root, cache = write_kettle(tmp_path, {f"{BURNT}:system": "x"}), tmp_path / "cache"
    with pytest.raises(KnowledgeError):
        load_cached(root, cache, PACK)
    assert caches(cache) == []
