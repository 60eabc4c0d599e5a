"""Lists of people: held in memory, found in the folder, stored only when somebody asks."""

import pytest

from bikewright.errors import AddressError
from bikewright.interfaces.web.lists import LARGEST_LIST, MOST_HELD, Lists
from tests.interfaces.web.rooms import ELSEWHERE, ORIGIN, TOKEN, copy_of, served

OWNER = {"x-bikewright-token": TOKEN, **ORIGIN}
CSV = b"height,size\n178 cm,L\n"


@pytest.fixture
def folder(tmp_path):
    return copy_of("quillback", tmp_path / "bike")


def test_a_list_is_held_by_its_content_and_name(folder):
    lists = Lists(folder)
    key = lists.hold("own.csv", CSV)
    assert lists.hold("own.csv", CSV) == key
    assert (lists.find(key).file, lists.find(key).content) == ("own.csv", CSV)
    assert lists.names()[0] == {"list": key, "name": "own.csv"}
    assert lists.hold("other.csv", CSV) != key
    assert sorted(path.name for path in folder.glob("*.csv")) == ["buyers.csv"]


def test_the_oldest_gives_way(folder):
    lists = Lists(folder)
    keys = [lists.hold(f"{n}.csv", CSV) for n in range(MOST_HELD + 1)]
    with pytest.raises(AddressError, match="not held any more"):
        lists.find(keys[0])
    assert [lists.find(key).file for key in keys[1:]] == [f"{n}.csv" for n in range(1, MOST_HELD + 1)]


def test_what_cannot_be_shown_is_left_out_of_a_name(folder):
    lists = Lists(folder)
    assert lists.find(lists.hold("a\n\x1b[31mb\u202e.csv" + "x" * 500, CSV)).file.startswith("a[31mb.csv")
    assert lists.find(lists.hold("\n", CSV)).file == "list"


@pytest.mark.fault
@pytest.mark.parametrize(
    "name", ["", "..", "../x.csv", "/etc/x.csv", "bike.toml", ".hidden.csv", "parts/x.csv", "a\\b.csv", "a\0.csv",
             "link.csv", "none.csv", "x" * 200 + ".csv"]
)  # fmt: skip
def test_nothing_else_is_read_or_written(folder, name):
    outside = folder.parent / "x.csv"
    outside.write_bytes(CSV)
    (folder / "link.csv").symlink_to(outside)
    lists = Lists(folder)
    with pytest.raises(ValueError, match=r"list|read"):
        lists.find(name)
    if name != "none.csv":
        with pytest.raises(AddressError):
            lists.keep(lists.hold("own.csv", CSV), name)
    assert outside.read_bytes() == CSV
    assert [one["name"] for one in Lists(folder).names()] == ["buyers.csv"]


def test_it_is_stored_when_somebody_asks_and_never_over_another(folder):
    with served(folder) as asked:
        key = asked.post("/list?name=own.csv", content=CSV, headers=OWNER).json()["list"]
        assert not (folder / "own.csv").exists()
        assert asked.get("/shown/lists.json").json()["lists"][0] == {"list": key, "name": "own.csv"}
        path = f"/list/keep?list={key}&name=own.csv"
        assert asked.post(path, headers=OWNER).json() == {"list": "own.csv"}
        assert (folder / "own.csv").read_bytes() == CSV
        again = asked.post(path, headers=OWNER)
        assert again.status_code == 400
        assert "there already" in again.text
        assert asked.post(f"/list/keep?list={key}&name=buyers.csv", headers=OWNER).status_code == 400


@pytest.mark.fault
def test_it_is_counted_and_asks_for_the_key(folder):
    with served(folder) as asked:
        assert asked.post("/list", content=b"x" * (LARGEST_LIST + 1), headers=OWNER).status_code == 413
        assert asked.post("/list", content=CSV, headers=ORIGIN).status_code == 403
        assert asked.post("/list/keep?list=x&name=y.csv", headers=ORIGIN).status_code == 403
        assert asked.post("/list", content=CSV, headers={**OWNER, "origin": "http://evil.example"}).status_code == 403
        assert len(asked.get("/shown/lists.json").json()["lists"]) == 1


@pytest.mark.fault
def test_another_machine_lays_no_other_folder_beside(folder):
    copy_of("wherry", folder.parent / "wherry")
    with served(folder, client=ELSEWHERE) as asked:
        keys = asked.guard.app.state.keys
        head = {"x-bikewright-token": keys.join(keys.invite())}
        assert asked.get("/shown/olds.json", headers=head).json()["folders"] == []
        assert asked.get("/shown/olds.json").status_code == 403
        refused = asked.get("/regroup.json?old=folder:wherry", headers=head)
        assert refused.status_code == 400
        assert "another machine" in refused.json()["error"]
