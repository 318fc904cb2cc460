"""What the papers of a package say, read back paper by paper as facts that can be held against each other.

A paper is read as text, by readers that have nothing of this package in them; a fact is a key, ``("mass", "A3")``, and
what one paper says for it.  Counts are those of one mould, whatever number of moulds a paper is for.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from functools import cache
from html.parser import HTMLParser
from itertools import combinations, pairwise
from typing import Any

import ezdxf
import openpyxl
from pypdf import PageObject, PdfReader

Key = tuple[str, ...]
Said = tuple[Key, Any]
Facts = dict[Key, list[tuple[str, Any]]]
PAGE = "\f"
_TIED = "\N{NO-BREAK SPACE}"


@dataclass(frozen=True)
class Num:
    """A number as it is printed, and half a step of its last digit."""

    value: Decimal
    half: Decimal

    def __str__(self) -> str:
        return f"{self.value:f}"

    @classmethod
    def of(cls, text: str | float, share: int = 1) -> Num:
        """What is printed for so many moulds, for one of them."""
        value = Decimal(str(text).replace(",", "").replace("≥", "").replace("≤", "").strip())
        exponent = value.as_tuple().exponent
        assert isinstance(exponent, int)
        return cls(value / share, Decimal(1).scaleb(min(0, exponent)) / 2 / share)

    def agrees(self, other: Num) -> bool:
        """Whether both can be the same number, rounded."""
        return abs(self.value - other.value) < self.half + other.half

    def slipped(self, half: Decimal) -> Num:
        """The same with another last digit, or another digit where others print no more."""
        return replace(self, value=self.value + 10 * max(self.half, half))


def agree(one: Any, other: Any) -> bool:
    """Whether two papers say the same."""
    if isinstance(one, Num) and isinstance(other, Num):
        return one.agrees(other)
    if isinstance(one, tuple) and isinstance(other, tuple):
        return len(one) == len(other) and all(map(agree, one, other))
    return bool(one == other)


def slipped(value: Any, others: list[Any]) -> Any:
    """A fact with one number, letter or verdict in it changed, by no less than what others say of it can show."""
    if isinstance(value, Num):
        return value.slipped(min(other.half for other in others))
    if isinstance(value, tuple):
        return (*value[:-1], slipped(value[-1], [other[-1] for other in others]))
    return f"{value}x" if isinstance(value, str) else value + 1


def count(number: str | int, moulds: int = 1) -> Fraction:
    """A whole number of pieces for one mould."""
    return Fraction(int(number), moulds)


# ---------------------------------------------------------------- from bytes to text


def texts(files: Mapping[str, bytes]) -> dict[str, str]:
    """Every paper as text: pages of a PDF parted by form feeds, rows of a spreadsheet as CSV with the sheet's name."""
    return {path: _text(path, content) for path, content in files.items() if not path.endswith((".png", ".step"))}


def _text(path: str, content: bytes) -> str:
    if path.endswith(".pdf"):
        pages = PdfReader(io.BytesIO(content)).pages
        read = _pieces if path == "drawings.pdf" else PageObject.extract_text
        return PAGE.join(read(page) for page in pages).replace(_TIED, " ")
    if path.endswith(".xlsx"):
        out = io.StringIO()
        for sheet in openpyxl.load_workbook(io.BytesIO(content), data_only=True):
            csv.writer(out).writerows([sheet.title, *row] for row in sheet.iter_rows(values_only=True))
        return out.getvalue()
    return content.decode("utf-8-sig").replace(_TIED, " ")


def _pieces(sheet: PageObject) -> str:
    """Lettering of a sheet, each piece on a line of its own: pieces that stand close to each other are not run on."""
    out, last = "", (0.0, 0.0)

    def glyph(text: str, here: list[float], _: list[float], __: object, size: float) -> None:
        nonlocal out, last
        if text.strip():
            em = size * abs(complex(here[0], here[1]))
            away = abs(complex(here[4] - last[0], here[5] - last[1])) / em
            wide = out[-1:] in "WMmw%"
            out += "\n" if away > 1.0 else " " if away > 0.68 and not wide else ""
            out, last = out + text.strip(), (here[4], here[5])

    sheet.extract_text(visitor_text=glyph)
    return out


@cache
def spots(dxf: str) -> tuple[tuple[float, float, float, str], ...]:
    """Lettering of a drawing: x, y, height and text, from above and from the left."""
    found = ezdxf.read(io.StringIO(dxf)).modelspace().query("TEXT")
    made = ((t.dxf.insert.x, t.dxf.insert.y, t.dxf.height, t.dxf.text) for t in found)
    return tuple(sorted(made, key=lambda spot: (-spot[1], spot[0])))


def lines(dxf: str) -> list[list[tuple[float, float, float, str]]]:
    """The same by the lines that they stand on."""
    rows: dict[float, list[tuple[float, float, float, str]]] = defaultdict(list)
    for spot in spots(dxf):
        rows[round(spot[1], 1)].append(spot)
    return [sorted(row) for row in rows.values()]


class _Tables(HTMLParser):
    """Tables of a page by their caption, as rows of texts; and its text outside of them."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: dict[str, list[list[str]]] = {}
        self.open, self.caption, self.rest = "", "", ""
        self.rows: list[list[str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.open = tag if tag in {"caption", "td", "th", "script", "style"} else self.open
        if tag == "table":
            self.caption, self.rows = "", []
        elif tag == "tr":
            self.rows.append([])
        elif tag in {"td", "th"}:
            self.rows[-1].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == self.open:
            self.open = ""
        if tag == "table":
            self.tables[self.caption] = self.rows

    def handle_data(self, data: str) -> None:
        if self.open == "caption":
            self.caption += data
        elif self.open in {"td", "th"}:
            self.rows[-1][-1] += data
        elif not self.open:
            self.rest += f"{data.strip()}\n"


@cache
def page(html: str) -> _Tables:
    """The report page, read."""
    reader = _Tables()
    reader.feed(html)
    return reader


# ---------------------------------------------------------------- lists and records


def _parts_json(text: str) -> Iterator[Said]:
    pieces: Counter[str] = Counter()
    for record in json.loads(text)["parts"]:
        mark = record["mark"]
        pieces[record["kind"]] += record["quantity"]
        yield ("quantity", mark), count(record["quantity"])
        yield ("name", mark), record["name"]
        yield ("mass", mark), Num.of(record["mass_kg"])
        if record["kind"] == "plate":
            yield ("size", mark), tuple(Num.of(s) for s in sorted((record["width_mm"], record["height_mm"])))
        elif record["kind"] == "bar":
            yield ("length", mark), Num.of(record["length_mm"])
    yield ("pieces",), pieces["plate"] + pieces["bar"]


def _cutlist_csv(text: str) -> Iterator[Said]:
    rows = list(csv.DictReader(io.StringIO(text, newline="")))
    moulds = next(int(row["quantity"]) for row in rows if row["list"] == "moulds")
    yield ("moulds",), moulds
    steel = Decimal(0)
    for row in rows:
        kind, mark = row["list"], row["mark"]
        if kind == "status":
            yield ("status",), row["name"]
        elif mark:
            yield ("quantity", mark), count(row["quantity"], moulds)
            yield ("name", mark), row["name"]
            yield ("mass", mark), Num.of(row["mass_each_kg"])
            yield ("mass of all", mark), Num.of(row["mass_kg"], moulds)
            if kind == "plate":
                yield ("size", mark), (Num.of(row["width_mm"]), Num.of(row["length_mm"]))
            elif kind == "bar":
                yield ("length", mark), Num.of(row["length_mm"])
            else:
                yield ("bought", row["material"]), count(row["quantity"], moulds)
        elif kind == "sum":
            yield ("sum", row["material"] or "fasteners"), count(row["quantity"], moulds)
            yield ("mass of sum", row["material"] or "fasteners"), Num.of(row["mass_kg"], moulds)
            steel += Decimal(row["mass_kg"]) / moulds
        elif kind == "consumable":
            low, high = re.findall(r"\(([\d.]+) to ([\d.]+)\)", row["shape"])[0]
            yield ("used", row["name"]), (Num.of(low, moulds), Num.of(high, moulds))
    yield ("steel",), Num(steel, Decimal("0.005"))


def _cutlist_xlsx(text: str) -> Iterator[Said]:
    rows = list(csv.reader(io.StringIO(text)))
    moulds = 1
    welds: dict[str, list[tuple[Fraction, str, Num]]] = defaultdict(list)
    for sheet, *cells in rows:
        told = re.match(r"Status: (.+)\. For (one|\d+) moulds?\.$", cells[0])
        if told:
            moulds = 1 if told[2] == "one" else int(told[2])
            yield ("status",), told[1]
            yield ("moulds",), moulds
        elif sheet == "Cut list" and re.fullmatch(r"[A-G]\d+", cells[0]):
            mark = cells[0]
            yield ("quantity", mark), count(cells[2], moulds)
            yield ("name", mark), cells[1]
            yield ("mass", mark), Num.of(cells[10])
            if cells[11]:
                yield ("mass of all", mark), Num.of(cells[11], moulds)
            if cells[5]:
                yield ("size", mark), (Num.of(cells[5]), Num.of(cells[3]))
        elif sheet == "Cut list" and cells[1].startswith("sum, ") and cells[2]:
            yield ("sum", cells[1][5:]), count(cells[2], moulds)
            yield ("mass of sum", cells[1][5:]), Num.of(cells[11], moulds)
        elif sheet == "Welds" and re.fullmatch(r"W\d+", cells[0]):
            laid = count(cells[5], moulds)
            welds[cells[0]].append((laid, cells[8], Num.of(cells[6], moulds)))
            yield ("weld", cells[0]), cells[1]
        elif sheet == "Consumables" and len(cells) > 3 and re.fullmatch(r"[\d.]+", cells[1]):
            yield (
                ("used", cells[0]),
                (Num.of(f"{float(cells[1]):.4f}", moulds), Num.of(f"{float(cells[3]):.4f}", moulds)),
            )
    for mark, found in welds.items():
        runs = ((n, re.fullmatch(r"(\d+) x ([\d.]+) every ([\d.]+)", how)) for n, how, _ in found)
        yield from _weld(mark, [(n, *map(Decimal, how.groups())) if how else (n,) for n, how in runs])


def _weld(mark: str, found: list[tuple[Any, ...]]) -> Iterator[Said]:
    """Lines of one weld: number of them, and where they have runs, how many, how long and how far from each other."""
    laid: Counter[tuple[Any, ...]] = Counter()
    for lines_of, *how in found:
        laid[tuple(how)] += lines_of
    told = (f"{many} x {' '.join(map(str, how)) or 'through'}" for how, many in sorted(laid.items()))
    yield ("laid", mark), "; ".join(told)


def _measured(text: str) -> Iterator[Said]:
    for row in csv.DictReader(io.StringIO(text)):
        yield ("limits", row["code"]), tuple(Num.of(row[end]) for end in ("nominal", "low", "high"))


def _checks_json(text: str) -> Iterator[Said]:
    document = json.loads(text)
    passed = all(result["passed"] for result in document["results"])
    for verdict in (passed, document["passed"]):
        yield ("status",), "holds" if verdict else "FAILS, not for construction"
    yield ("checks",), len(document["results"])
    for result in document["results"]:
        key = (result["code"], result["title"])
        yield ("check", *key), (Num.of(result["provided"]), Num.of(result["required"]))


def _manifest(text: str) -> Iterator[Said]:
    document = json.loads(text)
    yield ("status",), {True: "holds", False: "FAILS, not for construction", None: "not checked"}[document["passed"]]


def _filter(text: str) -> Iterator[Said]:
    document = json.loads(text)
    yield ("concrete mass",), Num.of(document["concrete_kg"])
    yield ("concrete volume",), Num.of(document["concrete_l"])


def _cost(text: str) -> Iterator[Said]:
    document = json.loads(text)
    yield ("moulds",), document["moulds"]
    for line in document["lines"]:
        if line["kind"] == "fastener":
            yield ("bought", line["name"]), count(round(line["quantity"]["likely"]), document["moulds"])


def _nests(text: str) -> Iterator[Said]:
    found: Counter[str] = Counter()
    for nest in json.loads(text)["nests"]:
        moulds = nest["moulds"]
        yield ("moulds",), moulds
        found.update(part["mark"] for sheet in nest["sheets"] for part in sheet["parts"])
    yield from ((("quantity", mark), count(number, moulds)) for mark, number in found.items())


def _bars_csv(text: str, moulds: int) -> Iterator[Said]:
    found: Counter[str] = Counter()
    for row in csv.DictReader(io.StringIO(text)):
        for cut in row["cuts"].split("; "):
            mark, length = cut.split()
            found[mark] += int(row["bars"])
            yield ("length", mark), Num.of(length)
    yield from ((("quantity", mark), count(number, moulds)) for mark, number in found.items())


def _bars_listed(words: list[str], moulds: int) -> Iterator[Said]:
    """A drawing of bars: how many are cut alike stands before the list of what each is cut into."""
    found: Counter[str] = Counter()
    times, listed = 0, ""
    for word in [*words, "0 x"]:
        if re.fullmatch(r"\d+ [x×]", word):
            for number, mark, length in re.findall(r"(\d+) [x×] ([A-G]\d+) ([\d.]+)", listed):
                found[mark] += times * int(number)
                yield ("length", mark), Num.of(length)
            times, listed = int(word[:-2]), ""
        else:
            listed += f" {word}"
    yield from ((("quantity", mark), count(number, moulds)) for mark, number in found.items())


# ---------------------------------------------------------------- drawings


def _field(dxf: str, label: str) -> str:
    """What stands below a label of the title block."""
    x, y = next((x, y) for x, y, _, text in spots(dxf) if text == label)
    return next(text for left, low, _, text in spots(dxf) if abs(left - x) < 0.2 and 1 < y - low < 12)


def _plain(text: str) -> str:
    """Lettering as the drawing file has it."""
    for sign, written in (("Ø", "%%c"), ("°", "%%d"), ("×", "x"), ("·", "-"), ("–", "-"), ("…", "..."), ("’", "'")):
        text = text.replace(sign, written)
    return text.replace("\N{NO-BREAK SPACE}", " ").replace("\u202f", " ")


def _numbers(path_or_number: str, text: str, *, every: bool = True) -> Iterator[Said]:
    """All numbers of a sheet; a picture's description has each text once only."""
    sheet = path_or_number.removeprefix("drawings/")[:2]
    found = re.findall(r"\d+(?:\.\d+)?", _plain(text))
    yield ("numbers", sheet), " ".join(sorted(set(found)))
    if every:
        yield ("all numbers", sheet), " ".join(sorted(found))


def _drawing(path: str, text: str, moulds: int) -> Iterator[Said]:
    yield ("status",), _field(text, "Status")
    yield from _numbers(path, " ".join(t for *_, t in spots(text)))
    if "parts-" in path:
        yield from _headings(text)
    elif "-bars" in path:
        yield from _bars_listed([t for *_, t in spots(text)], moulds)
    elif "general-section" in path:
        yield from _part_list(text)
    elif "weld-" in path:
        yield from ((("weld", mark), name) for mark, name, _ in _weld_table(text))


def _headings(text: str) -> Iterator[Said]:
    """Mark, name, number of pieces and mass of each part of a sheet."""
    for row in lines(text):
        for (x, y, tall, mark), (*_, name) in pairwise(row):
            if tall == 5.0 and re.fullmatch(r"[A-EG]\d+", mark):
                own = [t for left, low, _, t in spots(text) if abs(left - x) < 0.2 and 0 < y - low < 30]
                off = next(found for t in own if (found := re.match(r"(\d+) off(?: for each of (\d+) moulds)?", t)))
                yield ("quantity", mark), count(off[1])
                yield ("moulds",), int(off[2] or 1)
                mass = next(found for t in own if (found := re.search(r"([\d.]+) kg each", t)))
                yield ("mass", mark), Num.of(mass[1])
                more = [
                    t for left, low, high, t in spots(text) if high == 3.5 and x + 3 < left < x + 20 and 3 < y - low < 6
                ]
                yield ("name", mark), " ".join((name, *more))


def _part_list(text: str) -> Iterator[Said]:
    for row in lines(text):
        cells = [t for *_, t in row]
        at = next((i for i, cell in enumerate(cells) if re.fullmatch(r"[A-G]\d+", cell) and len(cells) > i + 4), None)
        if at is not None:
            mark, number, name, _, mass = cells[at : at + 5]
            yield ("quantity", mark), count(number)
            yield ("name", mark), name
            yield ("mass", mark), Num.of(mass)


def _weld_table(text: str) -> Iterator[tuple[str, str, list[tuple[Any, ...]]]]:
    """Mark, name and lines of each weld of a sheet; a sheet for two panels that are alike counts twice."""
    twice = 2 if any(t.startswith("Make two") for *_, t in spots(text)) else 1
    head = next(row for row in lines(text) if any(spot[3] == "What to what" for spot in row))
    start = next(i for i, spot in enumerate(head) if spot[3] == "What to what")
    own, name, laid = (head[start + i][0] for i in (-1, 0, 4))
    for x, y, _, mark in spots(text):
        if abs(x - own) < 0.2 and re.fullmatch(r"W\d+", mark):
            found: list[tuple[Any, ...]] = []
            for number, how in re.findall(r"(\d+) x \[([^\]]+)\]", _cell(text, laid, y)):
                runs = re.fullmatch(r"(\d+) x ([\d.]+) \(([\d.]+)\)", how)
                many = count(int(number) * twice)
                each, run, gap = map(Decimal, runs.groups()) if runs else (Decimal(1), Decimal(0), Decimal(0))
                found.append((many, each, run, run + gap) if runs else (many,))
            yield mark, _cell(text, name, y), found


def _cell(text: str, left: float, top: float) -> str:
    """What stands in a cell of a table, over one line or several: lines of a cell are closer than rows."""
    out, last = [], top
    for x, y, _, word in spots(text):
        if abs(x - left) < 0.2 and -1e-6 < last - y < 4.45:
            out.append(word)
            last = y
    return " ".join(out)


def _nest_sheet(path: str, text: str) -> Iterator[tuple[str, str, int]]:
    """Mark, name and number of the parts of one sheet, as its list has them."""
    for row in lines(text):
        cells = [t for *_, t in row]
        for mark, number, name in zip(cells, cells[1:], cells[2:], strict=False):
            if (
                re.fullmatch(r"[A-EG]\d+", mark)
                and re.fullmatch(r"\d+", number)
                and not re.fullmatch(r"[A-EG]\d+", name)
            ):
                yield mark, name, int(number)


def _comments(dxf: str) -> list[str]:
    """What a cutting file says in words before it begins."""
    head = dxf.partition("SECTION")[0].splitlines()
    return [line for mark, line in zip(head[::2], head[1::2], strict=False) if mark.strip() == "999"]


def _flat(text: str) -> Iterator[Said]:
    told = dict(line.split(": ", 1) for line in _comments(text) if ": " in line)
    mark, moulds = told.get("part mark") or told["mark"], int(told["moulds"])
    yield ("moulds",), moulds
    yield ("quantity", mark), count(told["quantity"], moulds)
    yield ("name", mark), told["name"]
    ends = re.findall(r"\$EXTM(?:IN|AX)\n 10\n([-\d.]+)\n 20\n([-\d.]+)", text)
    wide, high = (Decimal(b) - Decimal(a) for a, b in zip(*ends, strict=True))
    yield ("size", mark), tuple(Num(side, Decimal("0.001")) for side in sorted((wide, high)))
    etched = [t for *_, t in spots(text)]
    by_hand = any("write it on by hand" in line for line in _comments(text))
    yield ("etched", mark), mark if etched == [mark] or (by_hand and not etched) else " ".join(etched)
    yield ("etched", mark), mark


# ---------------------------------------------------------------- pages


def _drawings_pdf(text: str) -> Iterator[Said]:
    for number, sheet in enumerate(text.split(PAGE), 1):
        yield ("status",), next(iter(re.findall(r"Status\n(.+)", sheet)), "")
        yield from _numbers(f"{number:02d}", sheet)


def _templates(text: str) -> Iterator[Said]:
    for sheet in text.split(PAGE):
        yield ("status",), next(iter(re.findall(r"Status: (.+)", sheet)), "")
        yield from ((("name", mark), name) for mark, name in re.findall(r"([A-EG]\d+) (.+): hole template", sheet))


_MATTER = {
    "box-width-rim": "Inside of the box, left to right",
    "box-depth-rim": "Inside of the box, front to back",
    "gap-front-rim": "Gap between panel and core at the rim, all four sides",
    "gap-front-end": "Gap between panel and core at the end plate, all four sides",
    "floor": "End plate below the top edge of the panels",
    "leg-length": "Length of the bridge legs",
}
"""What the page on what matters most says for some codes."""


def _build_sheet(text: str, what: Mapping[str, str], bought: list[str]) -> Iterator[Said]:
    """The build sheet; ``what`` is said of each code, ``bought`` are the names of fasteners."""
    for sheet in text.split(PAGE):
        yield ("status",), next(iter(re.findall(r"Status: (.+?) page \d+ of \d+", sheet)), "")
    run_on = " ".join(text.split())
    for moulds in re.findall(r"one of (\d+) moulds", run_on) or ["1"]:
        yield ("moulds",), int(moulds)
    for mark, number, name, wide, high in re.findall(
        r"^([A-EG]\d+) (\d+) (.+) [\d/]+ (?:mm|in) ([\d.]+) mm × ([\d.]+) mm$", text, re.MULTILINE
    ):
        yield ("quantity", mark), count(number)
        yield ("name", mark), name
        yield ("size", mark), (Num.of(high), Num.of(wide))
    bars = r"^([A-EG]\d+) (\d+) (.+?) (?:angle|square tube|rod|threaded rod) \S+.*? ([\d.]+) mm$"
    for mark, number, name, length in re.findall(bars, text, re.MULTILINE):
        yield ("quantity", mark), count(number)
        yield ("name", mark), name
        yield ("length", mark), Num.of(length)
    for name in bought:
        for number in re.findall(rf"^(?:.*, )?{re.escape(name)} (\d+)$", text, re.MULTILINE):
            yield ("bought", name), count(number)
    for name in ("stick electrodes", "grinding discs", "cutting discs", "paint"):
        low, high = re.findall(rf"{name} ([\d.]+) to ([\d.]+) ", run_on)[0]
        yield ("used", name), (Num.of(low), Num.of(high))
    yield from _steps(run_on)
    yield from _sheet_welds(text)
    yield from _sheet_limits(run_on, what)
    yield from _sheet_masses(run_on)


def _steps(run_on: str) -> Iterator[Said]:
    """Pieces that are new in the steps, all steps together."""
    found: Counter[str] = Counter()
    for listed in re.findall(r"New: (\d+ × .+?)\. (?:Piece|Weld|\d)", run_on):
        for entry in listed.split("; "):
            # an entry of another shape is an error here
            number, mark = re.match(r"(\d+) × ([A-G]\d+) ", f"{entry} ").groups()  # type: ignore[union-attr]  # else the test fails
            found[mark] += int(number)
    yield from ((("quantity", mark), count(number)) for mark, number in found.items())


def _sheet_welds(text: str) -> Iterator[Said]:
    found: dict[str, list[tuple[Any, ...]]] = defaultdict(list)
    mark, how = "", ()
    for line in text.splitlines():
        begun = re.match(r"(W\d+) (.+?) (?:fillet|edge|fill)\b", line)
        if begun:
            mark = begun[1]
            yield ("weld", mark), begun[2]
        row = re.search(r"(?:(\d+) × ([\d.]+) mm every ([\d.]+) mm.*)?((?:(?:^| )\d+ × [\d.]+ mm)+)$", line)
        if mark and row:
            if row.start(4):  # else one more length, in the runs of the line before
                how = tuple(map(Decimal, row.groups()[:3])) if row[1] else ()
            found[mark] += [(count(number), *how) for number in re.findall(r"(\d+) ×", row[4])]
        elif not begun:
            mark = ""
    for mark, rows in found.items():
        yield from _weld(mark, rows)


def _sheet_limits(run_on: str, what: Mapping[str, str]) -> Iterator[Said]:
    number = r"(-?[\d.]+) (?:mm|kg)"
    for code, words in what.items():
        told = rf"{re.escape(words)} {number} (-?[\d.]+)(?: mm| kg)? to {number}"
        for found in re.findall(told, run_on):
            yield ("limits", code), tuple(map(Num.of, found))
    for code, words in _MATTER.items():
        ends = rf"{words} {number} (?:must pass:|not less than) {number} (?:must not pass:|not more than) {number}"
        for found in re.findall(ends, run_on):
            yield ("limits", code), tuple(map(Num.of, found))


def _sheet_masses(run_on: str) -> Iterator[Said]:
    def told(key: str, words: str) -> Iterator[Said]:
        yield from (((key,), Num.of(found)) for found in re.findall(words, run_on))

    yield from told("steel", r"The finished mould weighs ([\d.]+) kg")
    yield from told("filled mass", r"mould, filled ([\d.]+) kg")
    yield from told("filled mass", r"The filled mould weighs ([\d.]+) kg")
    yield from told("empty mass", r"mould, empty ([\d.]+) kg")
    yield from told("concrete mass", r"filter, empty ([\d.]+) kg")
    yield from told("concrete mass", r"litres of concrete and weighs ([\d.]+) kg")
    yield from told("concrete volume", r"One filter takes ([\d.]+) l")
    pieces, bolts = re.findall(r"(\d+) pieces of steel, (\d+) bolts", run_on)[0]
    yield from ((("pieces",), int(pieces)), (("bolts",), int(bolts)))


def _calculation(text: str) -> Iterator[Said]:
    yield ("status",), re.findall(r"^\**Status: (.+?)\**$", text, re.MULTILINE)[0]
    yield ("steel",), Num.of(re.findall(r"mould of ([\d.]+) kg of steel", text)[0])
    yield ("filled mass",), Num.of(re.findall(r"\*\*[\d.]+ filled mould\*\*\n(?:.*\n)*?    = ([\d.]+) kg\n\n", text)[0])
    for load, key in (("mould, filled", "filled mass"), ("mould, empty", "empty mass")):
        yield (key,), Num.of(re.findall(rf"^\| {load} \| ([\d.]+) \|", text, re.MULTILINE)[0])
    for code, title, provided, limit in re.findall(
        r"^\| (\d+\.\d+) \| (.+?) \| ([\d.]+)[^|]* \| [<>]= ([\d.]+)[^|]* \|", text, re.MULTILINE
    ):
        yield ("check", code, title), (_figures(provided), _figures(limit))


def _figures(text: str) -> Num:
    """A number of four figures: zeros at its end may have been left out."""
    number = Num.of(text)
    lead = number.value.adjusted() if number.value else 0
    return replace(number, half=max(number.half, Decimal(1).scaleb(lead - 3) / 2))


def _report(text: str) -> Iterator[Said]:
    read = page(text)
    verdict = re.findall(
        r"^(All (\d+) checks hold|\d+ of (\d+) checks fail|The mould was not checked)", read.rest, re.MULTILINE
    )[0]
    yield ("status",), {"A": "holds", "T": "not checked"}.get(verdict[0][0], "FAILS, not for construction")
    yield ("checks",), int(verdict[1] or verdict[2])
    cards = read.rest.split("\n")
    yield ("steel",), Num.of(cards[cards.index("Steel of the mould") + 1].removesuffix(" kg"))
    yield ("concrete mass",), Num.of(cards[cards.index("Concrete") + 1].removesuffix(" kg"))
    pieces, _, bolts = re.findall(r"(\d+) pieces under (\d+) marks, (\d+) bolts", read.rest)[0]
    yield from ((("pieces",), int(pieces)), (("bolts",), int(bolts)))
    moulds = int(next(iter(re.findall(r"^For (\d+) moulds\.$", read.rest, re.MULTILINE)), 1))
    yield ("moulds",), moulds
    for caption, rows in read.tables.items():
        for row in rows[1:]:
            if caption == "Parts by mark":
                mark, name, _, number, _, _, mass, of_all = row
                yield ("quantity", mark), count(number)
                yield ("name", mark), name
                yield ("mass", mark), Num.of(mass)
                yield ("mass of all", mark), Num.of(of_all)
            elif caption.startswith("Checks"):
                value, limit = (re.sub(r"[^\d.,-]*([-\d.,]+).*", r"\1", cell) for cell in row[3:5])
                yield ("check", row[0], row[2]), (_figures(value), _figures(limit))
            elif len(row) == 9 and re.fullmatch(r"[A-G]\d+", row[0]):
                yield ("quantity", row[0]), count(row[2], moulds)
                yield ("mass of all", row[0]), Num.of(row[8], moulds)


# ---------------------------------------------------------------- all of them


def facts(papers: Mapping[str, str]) -> Facts:
    """What each paper says."""
    out: Facts = defaultdict(list)
    for path, said in _all(papers):
        for key, value in said:
            out[key].append((path, value))
    return dict(out)


def _all(papers: Mapping[str, str]) -> Iterator[tuple[str, Iterator[Said]]]:
    moulds = json.loads(papers["nests/nests.json"])["nests"][0]["moulds"]
    what = {row["code"]: row["what"] for row in csv.DictReader(io.StringIO(papers["measured.csv"]))}
    listed = csv.DictReader(io.StringIO(papers["cut-list.csv"], newline=""))
    bought = [row["material"] for row in listed if row["list"] == "fastener"]
    alone: dict[str, Callable[[str], Iterator[Said]]] = {
        "parts.json": _parts_json, "cut-list.csv": _cutlist_csv, "cut-list.xlsx": _cutlist_xlsx,
        "measured.csv": _measured, "checks.json": _checks_json, "manifest.json": _manifest,
        "filter/filter.json": _filter, "cost.json": _cost, "nests/nests.json": _nests, "calculation.md": _calculation,
        "report.html": _report, "drawings.pdf": _drawings_pdf, "hole-templates.pdf": _templates,
    }  # fmt: skip
    on_sheets: Counter[str] = Counter()
    laid: dict[str, list[tuple[Any, ...]]] = defaultdict(list)
    for path, text in papers.items():
        if path in alone:
            yield path, alone[path](text)
        elif path == "build-sheet.pdf":
            yield path, _build_sheet(text, what, bought)
        elif path == "bars/cutting-plan.csv":
            yield path, _bars_csv(text, moulds)
        elif path == "bars/cutting-plan.svg":
            words = re.findall(r"<text[^>]*>([^<]*)</text>", text)
            yield path, iter([*_bars_listed(words, moulds), (("status",), _verdict(words))])
        elif path.startswith("flat/"):
            yield path, _flat(text)
        elif path.startswith("nests/") and path.endswith(".svg"):
            words = re.findall(r"<text[^>]*>([^<]*)</text>", text)
            told = next(found for word in words if (found := re.search(r"· (\d+) moulds? ·", word)))
            yield path, iter([(("status",), _verdict(words)), (("moulds",), int(told[1]))])
        elif path.startswith("nests/") and path.endswith(".dxf"):
            comments = _comments(text)
            yield path, iter([(("moulds",), int(next(c for c in comments if c.startswith("moulds: "))[8:]))])
            for number, mark, name in _cut_marks(comments):
                on_sheets[f"nests/*.dxf {mark}"] += number
                yield path, iter([(("name", mark), name)])
        elif path.startswith("drawings/") and path.endswith(".dxf"):
            yield path, _drawing(path, text, moulds)
            for mark, _, found in _weld_table(text) if "-weld-" in path else ():
                laid[mark] += found
            for mark, name, number in _nest_sheet(path, text) if "-nest-" in path else ():
                on_sheets[f"drawings/*-nest-*.dxf {mark}"] += number
                yield path, iter([(("name", mark), name)])
        elif path.startswith("drawings/") and path.endswith(".svg"):
            words = re.findall(r"<desc>(.*)</desc>", text)[0].split(" | ")
            status = words[words.index("Status") + 1]
            yield path, iter([(("status",), status), *_numbers(path, " ".join(words), every=False)])
    for mark, found in laid.items():
        yield "drawings/*-weld-*.dxf", _weld(mark, found)
    for where, number in on_sheets.items():
        path, mark = where.split()
        yield path, iter([(("quantity", mark), count(number, moulds))])


def _verdict(words: list[str]) -> str:
    return next((word.removeprefix("Status: ") for word in words if word.startswith("Status: ")), "")


def _cut_marks(comments: list[str]) -> Iterator[tuple[int, str, str]]:
    for line in comments:
        found = re.fullmatch(r"(?:part|mark) (\w+): (\d+) x (.+)", line)
        if found:
            yield int(found[2]), found[1], found[3]


def disagreements(found: Facts) -> list[str]:
    """Facts on which two papers, or one with itself, do not say the same."""
    out = []
    for key, said in found.items():
        first = {value: path for path, value in reversed(said)}
        for (one, path), (other, where) in combinations(first.items(), 2):
            if not agree(one, other):
                out.append(f"{' '.join(key)}: {_told(one)} in {path}, {_told(other)} in {where}")
    return out


def _told(value: Any) -> str:
    return " ".join(map(str, value)) if isinstance(value, tuple) else str(value)
