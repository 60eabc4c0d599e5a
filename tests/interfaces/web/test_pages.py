"""The page's own files: the right kind, fresh after an edit, and nothing beside them."""

import pytest

from bikewright.interfaces.web.export import for_html, put_in
from bikewright.interfaces.web.pages import PAGE, page_content
from tests.interfaces.web.rooms import copy_of, served


@pytest.fixture(scope="module")
def asked(tmp_path_factory):
    with served(copy_of("wherry", tmp_path_factory.mktemp("pages") / "bike")) as asked:
        yield asked


def test_the_page_is_html_and_its_modules_are_scripts(asked):
    assert asked.get("/").headers["content-type"] == "text/html; charset=utf-8"
    for path in sorted(PAGE.glob("*.js")) + sorted(PAGE.glob("*.css")):
        kind = asked.get(f"/page/{path.name}").headers["content-type"]
        assert kind == {".js": "text/javascript; charset=utf-8", ".css": "text/css; charset=utf-8"}[path.suffix]


def test_a_file_that_has_not_changed_is_not_sent_again_and_one_that_has_is(asked, tmp_path, monkeypatch):
    (tmp_path / "main.js").write_text("1;", encoding="utf-8")
    monkeypatch.setattr("bikewright.interfaces.web.pages.PAGE", tmp_path)
    first = asked.get("/page/main.js")
    assert first.headers["cache-control"] == "no-cache"
    tag = {"if-none-match": first.headers["etag"]}
    again = asked.get("/page/main.js", headers=tag)
    assert (again.status_code, again.content) == (304, b"")
    (tmp_path / "main.js").write_text("2;", encoding="utf-8")
    assert asked.get("/page/main.js", headers=tag).text == "2;"


@pytest.mark.fault
@pytest.mark.parametrize(
    "name",
    ["", ".", "../server.py", "..%2fserver.py", "%2e%2e/server.py", "....//server.py", "/etc/passwd", "main.py",
     "none.js", "vendor", "vendor/", "main.js/", "main.js%00.js", "C:%5cx.js", "..%5cserver.py",
     "a" * 300 + ".js", "a/" * 3000 + "a.js"],
)  # fmt: skip
def test_nothing_beside_the_page_is_given_out(asked, name):
    answer = asked.get(f"/page/{name}")
    assert answer.status_code == 404
    assert "import" not in answer.text


@pytest.mark.fault
def test_a_link_out_of_the_page_is_not_followed(tmp_path, monkeypatch):
    (tmp_path / "page").mkdir()
    (tmp_path / "secret.js").write_text("x", encoding="utf-8")
    (tmp_path / "page" / "a.js").symlink_to(tmp_path / "secret.js")
    monkeypatch.setattr("bikewright.interfaces.web.pages.PAGE", tmp_path / "page")
    assert page_content("a.js") is None


def test_an_export_says_that_it_has_no_template_where_there_is_none(asked, monkeypatch):
    monkeypatch.setattr("bikewright.interfaces.web.export.TEMPLATE", "none.html")
    answer = asked.get("/export.html")
    assert answer.status_code == 404
    assert "template" in answer.text


def test_what_is_put_into_a_file_cannot_leave_its_place(tmp_path, monkeypatch):
    monkeypatch.setattr("bikewright.interfaces.web.pages.PAGE", tmp_path)
    (tmp_path / "a.js").write_text('const end = "</script><b>";', encoding="utf-8")
    (tmp_path / "a.css").write_text("p { color: red }", encoding="utf-8")
    template = "<!-- put in style: a.css --><!-- put in script: a.js --><!-- put in data: -->"
    made = put_in(template, '{"name":"</script><!--&\u2028"}')
    assert made.count("</script>") == 2
    assert "<style>p { color: red }</style>" in made
    assert "<!--" not in made
    assert for_html("<&>") == "\\u003c\\u0026\\u003e"
