"""``handover find``: which plots have it, by JSONPath as the standard defines it, and who said so."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from builder.cli.find_forms import COLUMNS
from builder.errors import UsageError
from builder.questions.document import JsonDocument, document_of
from builder.questions.homes import read_homes
from builder.questions.query import read_query
from tests.broken_workspaces import run
from tests.conftest import COTTAGE, HERE, PROJECT

STANDARD = json.loads((HERE / "questions" / "rfc9535.json").read_text(encoding="utf-8"))
SUITE = (
    PROJECT
    / "tests/tools/node_modules/jsonpath-rfc9535/src/__tests__/jsonpath-compliance-test-suite/cts.json"
)
"""The compliance suite of the standard's own working group, as a package for Node carries it."""


def find(workspace: Path, *arguments: str) -> tuple[int, str, str]:
    result = run("find", *arguments, "--workspace", str(workspace))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.stdout, result.stderr


def matches(workspace: Path, *arguments: str) -> list[dict[str, Any]]:
    _, output, _ = find(workspace, *arguments, "--format", "json")
    found: list[dict[str, Any]] = json.loads(output)["matches"]
    return found


def written(path: Path, before: str, after: str) -> None:
    text = path.read_text(encoding="utf-8")
    assert text.count(before) == 1, before
    path.write_text(text.replace(before, after), encoding="utf-8")


@pytest.mark.parametrize("query", STANDARD["queries"])
def test_queries_of_the_standard_itself(query: str) -> None:
    """RFC 9535, table 2; where the order of an object's entries is open, in any order."""
    found = list(read_query(query).matches(STANDARD["document"]))
    assert sorted(each.path for each in found) == sorted(STANDARD["queries"][query])


@pytest.mark.skipif(not SUITE.is_file(), reason="the compliance suite is not installed")
def test_the_compliance_suite_of_the_standard() -> None:
    cases = json.loads(SUITE.read_text(encoding="utf-8"))["tests"]
    assert len(cases) > 600
    for case in cases:
        if case.get("invalid_selector"):
            with pytest.raises(UsageError):
                _as_given(case["selector"])
            continue
        found = list(_as_given(case["selector"]).matches(case["document"]))
        wanted = case.get("results", [case.get("result")])
        assert [each.value for each in found] in wanted, case["name"]
        paths = case.get("results_paths", [case.get("result_paths")])
        assert [each.path for each in found] in paths, case["name"]


def _as_given(selector: str) -> Any:
    """A selector as the suite has it: blanks round a query are a slip of the hand, and are taken off."""
    if selector != selector.strip():
        raise UsageError("blanks round a query")
    return read_query(selector)


@pytest.mark.parametrize(
    ("query", "message"),
    [
        (
            "$.equipment[?@.make = 'Tarn']",
            "The query cannot be read at column 21: unexpected filter selector token '='.\n"
            "  $.equipment[?@.make »= 'Tarn']\n"
            "Compare with '=='.",
        ),
        (
            "$.equipment.hall-thermostat.make",
            "The query cannot be read at column 17: expected '.', '..' or a bracketed selection, found '-'.\n"
            "  $.equipment.hall»-thermostat.make\n"
            "A name with a hyphen stands in brackets: ['hall-thermostat']",
        ),
        (
            "$.equipment[?@.make == 'x' and @.model]",
            "The query cannot be read at column 28: unexpected filter selector token 'a'.\n"
            "  $.equipment[?@.make == 'x' »and @.model]\n"
            "Write '&&' for 'and'.",
        ),
        (
            "$.equipment[?serch(@.make, 'T')]",
            "The query cannot be read at column 14: function 'serch' is not defined.\n"
            "  $.equipment[?»serch(@.make, 'T')]\n"
            "Did you mean 'search'? The functions are: count, length, match, search, value.",
        ),
        (
            "$.equipment[?@.kind == boiler]",
            "The query cannot be read at column 24: unexpected filter selector token 'b'.\n"
            "  $.equipment[?@.kind == »boiler]\n"
            "A text stands in quotes, 'boiler'; a value of what is asked begins with '@.', @.boiler.",
        ),
        (
            "$.equipment[",
            "The query cannot be read at column 13: unbalanced brackets.\n"
            "  $.equipment[»\n"
            "Write it like this: $.equipment[?@.kind == 'boiler'].make",
        ),
        (
            f"$[?{'(' * 3000}@.a{')' * 3000}]",
            "The query cannot be read at column 1: it is nested too deep.",
        ),
    ],
)
def test_a_query_that_cannot_be_read(query: str, message: str) -> None:
    code, output, error = find(COTTAGE, query)
    assert (code, output) == (2, "")
    assert error.startswith(f"Error: {message}")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ((), "Name a QUERY, such as '$.equipment[?@.kind == 'boiler'].make', or an option"),
        (("stopcock",), "or an option, such as --kind stopcock."),
        (("equipment.stopcock",), "Did you mean '$.equipment.stopcock'?"),
        (("$.form", "$.form"), "These are 2 queries. Ask one at a time."),
        (("$.form", "riverside/03"), "There is no plot 'riverside/03'. Did you mean"),
        (("--kind", "stopcok"), "There is no kind 'stopcok' in this workspace. Did you mean 'stopcock'?"),
        (("--kind", "alarm"), "There is no kind 'alarm' in this workspace. Did you mean 'smoke-alarm'?"),
        (("--article", "water-of"), "Did you mean 'water-off'?"),
        (("--house-type", "cotage"), "There is no house type 'cotage' in this workspace. Did you mean 'cottage'?"),
        (("--option", "car-charge"), "There is no option 'car-charge' in this workspace. Did you mean 'car-charger'?"),
        (("$.form", "--make", "Tarn"), "are two questions."),
    ],
)  # fmt: skip
def test_usage_mistakes_leave_with_two(arguments: tuple[str, ...], message: str) -> None:
    code, _, error = find(COTTAGE, *arguments)
    assert code == 2
    assert message in error


def test_a_field_that_nobody_filled_in_is_no_slip() -> None:
    code, _, error = find(COTTAGE, "$.equipment[?@.model == 'X 1']")
    assert code == 1
    assert "None of these homes says 'model' of anything." in error
    assert "is called 'model'" not in error


def test_the_table() -> None:
    assert find(COTTAGE, "$.equipment.stopcock.room") == (
        0,
        "Asked: $.equipment.stopcock.room\n"
        "plot          address      path                                value    said by\n"
        "riverside/01  1 Riverside  $['equipment']['stopcock']['room']  kitchen  "
        "housetypes/cottage.yaml:37  house type cottage\n"
        "riverside/02  2 Riverside  $['equipment']['stopcock']['room']  hall     "
        "developments/riverside/plots/02.yaml:7  departure moved-stopcock\n"
        "2 matches in 2 of 2 plots.\n",
        "",
    )


def test_a_recall_by_make_finds_every_piece_with_what_a_notice_asks_for(cottage: Path) -> None:
    written(
        cottage / "developments/riverside/plots/02.yaml",
        "  consumer-unit: CANARY-4711",
        "  stopcock: 'TZ 0815'",
    )
    found = matches(cottage, "--make", "tarn")
    told = [(each["plot"], each["completion"], each["serial"], each["where"]) for each in found]
    assert told == [
        ("riverside/01", "2026-03-31", None, "Kitchen, ground floor: under the sink, on the left"),
        ("riverside/02", None, "TZ 0815", "Hall, ground floor: in the cupboard, low on the left"),
    ]
    code, output, error = find(cottage, "--make", "tarn")
    assert (code, error) == (0, "")
    assert output.startswith("Asked: $.equipment[?@.make == 'Tarn']\n")
    assert "Tarn; serial TZ 0815; Hall, ground floor: in the cupboard, low on the left" in output
    assert output.endswith("2 matches in 2 of 2 plots.\n")


def test_the_spelling_of_a_notice_need_not_be_that_of_the_data(cottage: Path) -> None:
    house = cottage / "housetypes/cottage.yaml"
    written(house, "at: [2.5, 4.8], make: Tarn}", "at: [2.5, 4.8], make: Tarn-Water}")
    written(house, "at: [1.9, 3]}", "at: [1.9, 3], make: TARN WATER}")
    assert [each["path"] for each in matches(cottage, "--make", "tarnwater", "riverside/01")] == [
        "$['equipment']['stopcock']",
        "$['equipment']['hall-thermostat']",
    ]


def test_what_may_be_the_same_make_is_said(cottage: Path) -> None:
    house = cottage / "housetypes/cottage.yaml"
    written(house, "at: [1.9, 3]}", "at: [1.9, 3], make: Tarn Heating}")
    code, _, error = find(cottage, "--make", "Tarn")
    assert code == 0
    assert error == "Not counted: the make 'Tarn Heating', which looks like it. Ask for it too.\n"


def test_a_piece_whose_make_nobody_recorded_is_no_piece_of_another_make(cottage: Path) -> None:
    written(
        cottage / "developments/riverside/plots/02.yaml",
        "at: [0.4, 4.5]}",
        "at: [0.4, 4.5], make: null}",
    )
    code, output, error = find(cottage, "--kind", "stopcock", "--make", "Tarn")
    assert code == 0
    assert output.endswith("1 match in 1 of 2 plots.\n")
    assert error == (
        "Look at these too: the make or model is not recorded in 1 plot: riverside/02.\n"
    )


def test_emitters_are_of_a_kind_too() -> None:
    paths = {each["path"] for each in matches(COTTAGE, "--kind", "radiator")}
    assert paths == {
        "$['zones']['downstairs']['emitters']['kitchen']",
        "$['zones']['upstairs']['emitters']['bedroom']",
    }


def test_what_is_true_of_whole_homes() -> None:
    assert [each["plot"] for each in matches(COTTAGE, "--option", "car-charger")] == [
        "riverside/02"
    ]
    found = matches(COTTAGE, "--article", "water-off", "--house-type", "cottage", "riverside/01")
    assert [(each["path"], each["value"]) for each in found] == [
        ("$['articles']['water-off']", {"title": "Turn off your water", "system": "water"}),
        ("$['plot']['house_type']", "cottage"),
    ]
    assert find(COTTAGE, "--article", "flats")[:2] == (
        1,
        "Asked: $.articles['flats'] where $.articles['flats']\n0 matches in 0 of 2 plots.\n",
    )


def test_options_narrow_a_query() -> None:
    assert len(matches(COTTAGE, "$.equipment.stopcock")) == 2
    assert [
        each["plot"] for each in matches(COTTAGE, "$.equipment.stopcock", "--option", "car-charger")
    ] == ["riverside/02"]


def document(workspace: Path, reference: str) -> JsonDocument:
    return document_of(read_homes(workspace, [reference]).homes[reference])


def test_a_home_is_asked_as_plain_json_in_its_own_hand() -> None:
    plain = document(COTTAGE, "riverside/02").plain
    assert plain == json.loads(json.dumps(plain))
    assert plain["plot"] == {
        "reference": "riverside/02",
        "development": "riverside",
        "number": "02",
        "address": "2 Riverside",
        "postcode": "ZZ99 9ZZ",
        "house_type": "cottage",
        "hand": "opposite",
        "options": ["car-charger"],
    }
    assert plain["equipment"]["stopcock"]["place"] == "in the cupboard, low on the left"
    assert "model" not in plain["equipment"]["stopcock"], "what has no value is not there"
    assert document(COTTAGE, "riverside/01").plain["plot"]["completion"] == "2026-03-31"


ORIGINS: list[tuple[tuple[str | int, ...], str]] = [
    (("equipment", "stopcock", "make"), "house type cottage housetypes/cottage.yaml:37"),
    (("equipment", "stopcock"), "house type cottage, departure moved-stopcock housetypes/cottage.yaml:37"),
    (("equipment", "stopcock", "room"), "departure moved-stopcock developments/riverside/plots/02.yaml:7"),
    (("equipment", "stopcock", "at", 0), "departure moved-stopcock developments/riverside/plots/02.yaml:7"),
    (("equipment", "consumer-unit", "serial"), "serials developments/riverside/plots/02.yaml:9"),
    (("equipment", "car-charger", "at"), "house type cottage housetypes/cottage.yaml:49"),
    (("plot", "hand"), "plots.csv developments/riverside/plots.csv:3"),
    (("plot", "reference"), "plots.csv developments/riverside/plots.csv:3"),
    (("contacts", "customer-care", "telephone"), "builder standard housetypes/standard.yaml:30"),
    (("kinds", "radiator", "burns_fuel"), "nobody wrote it"),
    (("articles", "water-off"), "article water-off content/articles/water-off.md:1"),
    (("articles",), "nobody wrote it"),
    ((), "nobody wrote it"),
]  # fmt: skip


def test_who_said_a_value(cottage: Path) -> None:
    house = cottage / "housetypes/cottage.yaml"
    text = house.read_text(encoding="utf-8")
    house.write_text(f"{text}positions:\n  car-charger: {{at: [3, -0.2]}}\n", encoding="utf-8")
    asked = document(cottage, "riverside/02")
    for location, said in ORIGINS:
        found = asked.origin(location)
        place = f" {found.place.file}:{found.place.line}" if found.place else ""
        assert f"{found.layer}{place}" == said, location


def test_the_record_of_a_handover_is_never_asked(cottage: Path) -> None:
    plot = cottage / "developments/riverside/plots/02.yaml"
    plot.write_text(
        plot.read_text(encoding="utf-8")
        + "handover:\n  meters:\n    electricity: {reading: '90210', day: 2026-03-01}\n",
        encoding="utf-8",
    )
    assert read_homes(cottage, ()).unread == ()
    everything = json.dumps(document(cottage, "riverside/02").plain)
    assert "CANARY-4711" in everything, "a serial number is what a recall asks for"
    assert "90210" not in everything


def test_a_file_for_a_spreadsheet_holds_no_formula(cottage: Path) -> None:
    house = cottage / "housetypes/cottage.yaml"
    written(house, "make: Tarn}", """make: '=HYPERLINK("https://x.example")', model: '-2+3'}""")
    code, output, _ = find(cottage, "$.equipment.stopcock.make", "riverside/01", "--format", "csv")
    assert code == 0
    assert output.startswith("\ufeffplot,address,")
    (row,) = csv.DictReader(io.StringIO(output.removeprefix("\ufeff")))
    assert tuple(row) == tuple(COLUMNS)
    assert row["value"] == row["make"] == """'=HYPERLINK("https://x.example")"""
    assert row["model"] == "'-2+3"
    assert (row["file"], row["line"]) == ("housetypes/cottage.yaml", "37")
    for cell in row.values():
        assert not cell.startswith(("=", "+", "-", "@"))


def test_nothing_found_says_which_word_is_known_to_no_home() -> None:
    code, output, error = find(COTTAGE, "$.equipment[?@.make == 'tarn' && @.hologram].serial")
    assert (code, output.splitlines()[-1]) == (1, "0 matches in 0 of 2 plots.")
    assert error == (
        "Nothing in these homes says 'tarn'. Did you mean 'Tarn'?\n"
        "Nothing in these homes is called 'hologram'.\n"
    )


def test_plots_that_make_no_home_are_named_and_the_answer_is_not_whole(cottage: Path) -> None:
    written(cottage / "developments/riverside/plots/02.yaml", "room: hall", "room: nowhere")
    code, output, error = find(cottage, "--make", "Tarn")
    assert code == 3
    assert output.endswith("1 match in 1 of 1 plot.\n")
    assert error == (
        "Not asked, because the data makes no home: riverside/02. See 'handover check'.\n"
    )
    told = json.loads(find(cottage, "--make", "Tarn", "--format", "json")[1])
    assert (told["homes_asked"], told["plots_not_asked"]) == (1, ["riverside/02"])


def test_a_home_with_mistakes_is_asked_all_the_same(cottage: Path) -> None:
    """An article that cannot be filled in stops a guide, and no recall."""
    article = cottage / "content/articles/water-off.md"
    article.write_text(
        article.read_text(encoding="utf-8") + "{{ nothing.here }}\n", encoding="utf-8"
    )
    assert run("check", "--workspace", str(cottage)).exit_code == 1
    assert len(matches(cottage, "--make", "Tarn")) == 2


def test_a_kind_of_homes_with_mistakes_is_a_kind(cottage: Path) -> None:
    house = cottage / "housetypes" / "cottage.yaml"
    house.write_text(house.read_text().replace("make: Tarn", 'make: "Tarn\\rX"'))
    result = run("find", "--kind", "stopcock", "--workspace", str(cottage))
    assert result.exit_code == 3
    assert "There is no kind" not in result.output
