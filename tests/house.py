"""Draws the house from its imports: ``python -m tests.house docs/house.svg``.

Each stage is a bar as long as it has lines, in the order in which stages stand on each other; an arc
leads from each stage to those that it imports, as thick as there are imports.
"""

import ast
import sys
from collections import Counter
from dataclasses import dataclass
from graphlib import TopologicalSorter
from html import escape
from pathlib import Path

ROW, LEFT, TOP, A_LINE = 26, 150, 46, 0.03
_STYLE = (
    "text{font:13px system-ui,sans-serif;fill:#1f2a2c}.bar{fill:#17483f}.arc{fill:none;stroke:#7a3b00;"
    "stroke-opacity:.45}.small{fill:#5a6669;font-size:11px}"
)


@dataclass(frozen=True)
class House:
    """The stages of a package: their modules and lines, and the imports between them."""

    modules: Counter[str]
    lines: Counter[str]
    imports: Counter[tuple[str, str]]

    @property
    def order(self) -> list[str]:
        """Each stage after all that it imports; where stages stand in a circle, by name."""
        below = {name: {to for at, to in self.imports if at == name} for name in self.modules}
        sorter = TopologicalSorter({name: sorted(below[name]) for name in sorted(below)})
        return list(sorter.static_order())


def read(package: Path) -> House:
    """The house in the folder of a package."""
    modules, lines, imports = Counter[str](), Counter[str](), Counter[tuple[str, str]]()
    for path in sorted(package.rglob("*.py")):
        stage = path.relative_to(package).with_suffix("").parts[0]
        if stage == "__init__":
            continue
        text = path.read_text(encoding="utf-8")
        modules[stage] += bool(text.strip())
        lines[stage] += text.count("\n")
        for node in ast.walk(ast.parse(text)):
            named = node.module if isinstance(node, ast.ImportFrom) else None
            other = (named or "").split(".")
            if other[0] == package.name and len(other) > 1 and other[1] != stage:
                imports[stage, other[1]] += 1
    return House(modules, lines, imports)


def svg(house: House, title: str) -> str:
    """The drawing."""
    order = house.order
    at = {name: TOP + ROW * index for index, name in enumerate(order)}
    longest = max(house.lines.values()) * A_LINE
    right = LEFT + longest + 150
    reach = ROW * len(order) / 2
    parts = [f'<text x="12" y="24" font-weight="700">{escape(title)}</text>']
    for name in order:
        y, long = at[name], max(house.lines[name] * A_LINE, 2)
        parts.append(f'<text x="{LEFT - 8}" y="{y + 14}" text-anchor="end">{escape(name)}</text>')
        parts.append(f'<rect class="bar" x="{LEFT}" y="{y + 3}" width="{long:.0f}" height="14"/>')
        told = f"{house.modules[name]} modules, {house.lines[name]} lines"
        parts.append(f'<text class="small" x="{LEFT + long + 6:.0f}" y="{y + 14}">{told}</text>')
    for (name, other), number in sorted(house.imports.items()):
        if name in at and other in at:
            low, high = sorted((at[name] + 10, at[other] + 10))
            out = right + (high - low) * 0.5
            wide = 0.6 + min(number, 40) / 10
            parts.append(
                f'<path class="arc" stroke-width="{wide:.1f}" '
                f'd="M{right:.0f} {low}C{out:.0f} {low} {out:.0f} {high} {right:.0f} {high}"/>'
            )
    width, height = right + reach * 0.75 + 40, TOP + ROW * len(order) + 16
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height}" role="img" '
        f'aria-label="{escape(title)}"><style>{_STYLE}</style>'
        f'<rect width="100%" height="100%" fill="#faf7f1"/>{"".join(parts)}</svg>\n'
    )


def main() -> None:
    """Draw a package into a file: the builder's own unless another folder is named."""
    out = Path(sys.argv[1])
    package = Path(sys.argv[2]) if len(sys.argv) > 2 else Path(__file__).parent.parent / "builder"
    house = read(package)
    total = f"{sum(house.modules.values())} modules, {sum(house.lines.values())} lines"
    out.write_text(svg(house, f"The house, drawn from its imports: {total}"), encoding="utf-8")


if __name__ == "__main__":
    main()
