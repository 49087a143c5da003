"""The commands as people type them: output, exit codes, scaffolds that can be built at once."""

import json
import re
from pathlib import Path

import jsonschema
import pytest
import yaml

from builder.cli.schemas import SHAPES, schema_text
from builder.errors import Findings
from builder.sources.entry import plain
from builder.sources.yaml_reader import read_yaml
from tests.broken_workspaces import lay, run
from tests.conftest import COTTAGE, PROJECT


def handover(workspace: Path, *arguments: str) -> tuple[int, str]:
    result = run(*arguments, "--workspace", str(workspace))
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result.exit_code, result.output


def test_why_a_value_is_so() -> None:
    assert handover(COTTAGE, "why", "riverside/02", "equipment.stopcock.room") == (
        0,
        "equipment.stopcock.room\n"
        '    house type cottage        "kitchen"  (housetypes/cottage.yaml:37:36)\n'
        '  → departure moved-stopcock  "hall"  (developments/riverside/plots/02.yaml:7:26)\n',
    )


def test_why_tells_what_the_hand_makes_of_it() -> None:
    code, output = handover(COTTAGE, "why", "riverside/02", "equipment.stopcock.place")
    assert code == 0
    assert '"in the cupboard, low on the {right}"' in output
    assert '    in this home, opposite: "in the cupboard, low on the left"\n' in output


def test_why_of_a_record_lists_its_values(cottage: Path) -> None:
    code, output = handover(cottage, "why", "riverside/01", "equipment.stopcock")
    assert code == 0
    assert [line for line in output.splitlines() if not line.startswith(" ")] == [
        f"equipment.stopcock.{name}" for name in ("kind", "room", "place", "at", "make")
    ]


def test_why_of_what_was_removed(cottage: Path) -> None:
    plot = cottage / "developments" / "riverside" / "plots" / "02.yaml"
    plot.write_text(plot.read_text().replace("serials:", (
        "  no-fence:\n    note: None was built.\n    date: 2026-02-12\n"
        "    changes: {fences: {left: null}}\nserials:"
    )))  # fmt: skip
    assert handover(cottage, "why", "riverside/02", "fences.left.owner") == (
        2,
        "Error: riverside/02 has nothing at 'fences.left.owner'.\n",
    )
    code, output = handover(cottage, "why", "riverside/02", "fences.left")
    assert code == 0
    assert "→ departure no-fence  removed  (developments/riverside/plots/02.yaml:11:30)" in output


def test_why_of_an_article() -> None:
    assert handover(COTTAGE, "why", "riverside/01", "--article", "flats") == (
        0,
        "flats is not in the guide of riverside/01\n"
        "  from this workspace (content/articles/flats.md)\n"
        "  no   form is house, wanted apartment\n"
        "         form (housetypes/cottage.yaml:4:1)\n",
    )
    assert handover(COTTAGE, "why", "riverside/01", "--article", "water-off") == (
        0,
        "water-off is in the guide of riverside/01\n"
        "  from this workspace (content/articles/water-off.md)\n"
        "  yes  has stopcock\n"
        "         equipment.stopcock (housetypes/cottage.yaml:37:3)\n",
    )


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (
            ("why", "riverside/03", "form"),
            "There is no plot 'riverside/03'. Did you mean 'riverside/02'?",
        ),
        (
            ("why", "riverside", "form"),
            "'riverside' is 2 plots; name one, as <development>/<plot>.",
        ),
        (("why", "riverside/01", "equipment.stopcok"), "Did you mean 'stopcock' for 'stopcok'?"),
        (("why", "riverside/01", "--article", "water-of"), "Did you mean 'water-off'?"),
        (("check", "../../etc/passwd"), "There is no plot '../../etc/passwd'."),
        (
            ("check", "riverside/the-show-home"),
            "There is no plot 'riverside/the-show-home'. Plots there are: riverside/01, riverside/02.",
        ),
        (
            ("new", "plot", "riverside/09", "--housetype", "cotage"),
            "There is no house type 'cotage'. Did you mean 'cottage'?",
        ),
        (("why", "riverside/01"), "Name a PATH"),
        (("sticker",), "There is no command 'sticker'. Did you mean 'stickers'?"),
    ],
)
def test_usage_mistakes_leave_with_two(arguments: tuple[str, ...], message: str) -> None:
    code, output = handover(COTTAGE, *arguments)
    assert code == 2
    assert message in output


def test_a_folder_that_is_no_workspace(tmp_path: Path) -> None:
    code, output = handover(tmp_path, "check")
    assert code == 2
    assert "is not a workspace" in output
    assert output.endswith("or begin one: handover new development NAME\n")


def test_findings_as_json(tmp_path: Path) -> None:
    result = run("check", "--format", "json", "--workspace", str(lay("unknown-option", tmp_path)))
    assert result.exit_code == 1
    found = [each for each in json.loads(result.output) if each["severity"] == "error"]
    assert found == [
        {
            "severity": "error",
            "code": "plots.unknown-option",
            "file": "developments/riverside/plots.csv",
            "line": 3,
            "column": 42,
            "path": "plot.options",
            "wrong": "There is no option 'car-charge'.",
            "right": "Did you mean 'car-charger'?",
            "basis": "",
            "plots": ["riverside/02"],
            "layer": "",
            "waived": "",
        }
    ]


def test_check_of_one_plot_or_one_development() -> None:
    assert handover(COTTAGE, "check", "riverside/01")[1].endswith(
        "1 of 1 plots can be published.\n"
    )
    assert handover(COTTAGE, "check", "riverside")[1].endswith("2 of 2 plots can be published.\n")


def test_a_workspace_from_nothing(tmp_path: Path) -> None:
    """What a stranger does: a house type, an article, a kind, an option, a development, two plots, a guide."""
    workspace = tmp_path / "fresh"
    for arguments in (
        ("new", "housetype", "heron"),
        ("new", "article", "rainwater-tank", "--date", "2026-09-01"),
        ("new", "option", "car-charger"),
        ("new", "development", "long-meadow"),
        ("new", "plot", "long-meadow/01"),
        ("new", "plot", "long-meadow/2", "--hand", "opposite"),
    ):
        code, output = handover(workspace, *arguments)
        assert code == 0, output
    house_type = workspace / "housetypes" / "heron.yaml"
    house_type.write_text(
        house_type.read_text(encoding="utf-8")
        + "kinds:\n  rainwater-tank: {name: Rainwater tank, system: outside, what: Keeps rain for the garden.,"
        " article: rainwater-tank, facts: {capacity: {name: It holds, type: number, unit: litres}}}\n",
        encoding="utf-8",
    )
    house_type.write_text(
        house_type.read_text(encoding="utf-8").replace(
            "equipment:\n",
            "equipment:\n  tank: {kind: rainwater-tank, room: outside, place: behind the shed, facts: {capacity: 200}}\n",
        ),
        encoding="utf-8",
    )
    article = workspace / "content" / "articles" / "rainwater-tank.md"
    article.write_text(
        article.read_text(encoding="utf-8").replace(
            "# equipment: [stopcock]", "equipment: [rainwater-tank]"
        ),
        encoding="utf-8",
    )
    option = workspace / "housetypes" / "options" / "car-charger.yaml"
    begun, example = option.read_text(encoding="utf-8").split("#\n")
    option.write_text(begun + re.sub("(?m)^# ", "", example), encoding="utf-8")
    table = workspace / "developments" / "long-meadow" / "plots.csv"
    rows = table.read_text(encoding="utf-8")
    assert "01,1 Long meadow," in rows
    table.write_text(rows.replace("opposite,", "opposite,car-charger"), encoding="utf-8")
    code, output = handover(workspace, "check")
    assert code == 0, output
    code, output = handover(
        workspace, "build", "--out", str(tmp_path / "public"), "--date", "2026-09-01"
    )
    assert code == 0, output
    page = next((tmp_path / "public" / "g").glob("*/equipment/tank/index.html")).read_text(
        encoding="utf-8"
    )
    assert "behind the shed" in page
    assert "200 litres" in page
    (charger,) = (tmp_path / "public" / "g").glob("*/equipment/car-charger/index.html")
    assert "to the right of the front door" in charger.read_text(encoding="utf-8")


def test_new_leaves_what_is_there(tmp_path: Path) -> None:
    assert handover(tmp_path, "new", "housetype", "heron")[0] == 0
    code, output = handover(tmp_path, "new", "housetype", "heron")
    assert code == 2
    assert "is there already; it was left as it is." in output
    assert handover(tmp_path, "new", "housetype", "../heron")[0] == 2
    assert handover(tmp_path, "new", "plot", "nowhere/1")[0] == 2


def test_a_new_plot_keeps_the_table_s_form(cottage: Path) -> None:
    table = cottage / "developments" / "riverside" / "plots.csv"
    table.write_bytes(
        b"\xef\xbb\xbfHand;Plot;House type;Address;Postcode\nopp;1;cottage;1 Riverside;ZZ99 9ZZ"
    )
    (cottage / "developments" / "riverside" / "plots" / "02.yaml").unlink()
    assert handover(cottage, "new", "plot", "riverside/3")[0] == 0
    assert table.read_bytes().endswith(b"\nas-drawn;3;cottage;3 Riverside;ZZ99 9ZZ\n")
    assert handover(cottage, "check")[0] == 0


def test_the_schemas_in_the_project_are_fresh() -> None:
    for name in SHAPES:
        written = (PROJECT / "schemas" / f"{name}.json").read_text(encoding="utf-8")
        assert written == schema_text(name), "run: handover schema"


def test_help_of_every_command() -> None:
    for command in ("check", "build", "preview", "why", "schema", "new"):
        assert run(command, "--help").exit_code == 0


def test_the_demo_s_files_fit_the_schemas_they_point_at() -> None:
    """By the library ``jsonschema``, which knows nothing of our records."""
    checked = 0
    for path in [*PROJECT.glob("housetypes/**/*.yaml"), *PROJECT.glob("developments/**/*.yaml")]:
        first = path.read_text(encoding="utf-8").split("\n", 1)[0]
        named = first.removeprefix("# yaml-language-server: $schema=")
        schema = json.loads((path.parent / named).resolve().read_text(encoding="utf-8"))
        read = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
        findings = Findings()
        entry = read_yaml(path.read_text(encoding="utf-8"), path.name, findings)
        assert entry is not None
        assert list(plain(entry)) == list(read)
        jsonschema.Draft202012Validator(schema).validate(plain(entry))
        checked += 1
    assert checked >= 30


def test_notes_are_shown_where_they_are_wanted() -> None:
    code, output = handover(COTTAGE, "check")
    assert (code, output.splitlines()[0]) == (0, "7 notes. Add --notes to read the notes.")
    code, output = handover(COTTAGE, "check", "--notes")
    assert code == 0
    assert "No home of this workspace gets this article." in output
    assert "7 notes.\n" in output


def test_a_house_type_without_plots_is_tried_all_the_same(cottage: Path) -> None:
    text = (cottage / "housetypes" / "cottage.yaml").read_text()
    (cottage / "housetypes" / "heron.yaml").write_text(
        text.replace("room: kitchen, place", "room: kitchn, place")
    )
    code, output = handover(cottage, "check")
    assert code == 1
    assert (
        "housetypes/heron.yaml:37:36: error home.unknown-reference at equipment.stopcock.room"
        in output
    )
    assert "Did you mean 'kitchen'?" in output
    assert "2 of 2 plots can be published." in output


def test_the_roles_of_contacts_are_listed(cottage: Path) -> None:
    code, output = handover(cottage, "kinds", "contacts")
    assert code == 0
    rows = [line.split("  ") for line in output.splitlines()]
    needed = {row[0]: row[-1].strip() for row in rows}
    assert needed["lpg-emergency"] == "homes with lpg"
    assert needed["emergency-services"] == "every home"
    assert needed["council"] == "every home"
    assert needed["chimney-sweep"] == "Who sweeps the chimney"


def test_what_may_be_asked_of_a_home_is_listed(cottage: Path) -> None:
    """Those that ship, and what the workspace adds or says anew."""
    standard = cottage / "housetypes" / "standard.yaml"
    own = "conditions: {by-the-sea: {says: The sea is near., when: {form: house}}}\n"
    standard.write_text(standard.read_text(encoding="utf-8") + own, encoding="utf-8")
    code, output = handover(cottage, "kinds", "conditions")
    assert code == 0
    rows = {line.split("  ")[0]: line.split("  ")[-1].strip() for line in output.splitlines()}
    assert rows["leasehold"] == "The home is held by a lease."
    assert rows["by-the-sea"] == "The sea is near."


def test_a_house_type_without_plots_may_be_for_any_development(cottage: Path) -> None:
    """What only one development has, or says of its homes, is no mistake of a type not yet built."""
    standing = (cottage / "housetypes/cottage.yaml").read_text(encoding="utf-8")
    barn = standing.replace("The Cottage", "The Barn").replace(
        "make: Tarn", "served_by: brook-water"
    )
    (cottage / "housetypes/barn.yaml").write_text(
        barn.replace("kind: extract-fan", "kind: extractor-fan"), encoding="utf-8"
    )
    here = cottage / "developments/riverside"
    there = cottage / "developments/hillside"
    there.mkdir()
    table = (here / "plots.csv").read_text(encoding="utf-8").splitlines()
    (there / "plots.csv").write_text(f"{table[0]}\n", encoding="utf-8")
    about = (here / "development.yaml").read_text(encoding="utf-8")
    also = "  brook-water: {name: Brook Water, call_for: no water, telephone: 01632 960211}\n"
    meter = "utilities:\n  gas: {name: Gas, supplier: Marram Energy, telephone: 01632 960240, meter: gas-meter}\n"
    (there / "development.yaml").write_text(about + also + meter, encoding="utf-8")
    code, output = handover(cottage, "check", "--date", "2026-11-25")
    assert code == 1
    assert "1 error" in output
    assert "error home.unknown-reference at equipment.kitchen-fan.kind" in output
    (cottage / "housetypes/barn.yaml").write_text(barn, encoding="utf-8")
    assert "brook-water" not in handover(cottage, "check", "--date", "2026-11-25")[1]
    (there / "development.yaml").write_text(about + meter, encoding="utf-8")
    code, output = handover(cottage, "check", "--date", "2026-11-25")
    assert code == 1
    assert "There is no 'brook-water' in contacts." in output
    assert "gas-meter" not in output
