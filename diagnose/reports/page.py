"""The one page frame: every page that leaves the program is this frame around its own parts.

Rules
-----
- A page is one complete file: no other file, no network, no script but the one it is given. Its
  own security policy holds it to that.
- Words carry the meaning; colour, frame and dash only repeat it.
- The paper decides the shape: A4 and the like as pages, a receipt roll as one narrow column.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from diagnose.knowledge.models import Caution
from diagnose.reasoning.wording import Shown
from diagnose.reports.html import Html, join, link, tag

__all__ = ["Paper", "caution_box", "caution_boxes", "embedded", "page", "ride_box", "write_in"]

Paper = Literal["printer", "a4", "receipt"]

#: ``printer`` leaves the choice to whoever prints; the others fix it in the file
_SHEETS = {
    "printer": "@page{margin:14mm 15mm}",
    "a4": "@page{size:A4;margin:14mm 15mm}",
    "receipt": "@page{size:80mm 200mm;margin:3mm}",
}

_RIDE = {
    "ride": "No reason found to stop riding",
    "ride_gently": "Ride gently",
    "stop_riding": "Stop riding",
    "not_judged": "Not looked at: not judged",
}

_STYLE = r"""
:root{--ink:#1d2733;--soft:#4c5866;--sheet:#fdfcf8;--rule:#c8c2b2;--tint:#eef1ee;--deep:#0d5160}
*{box-sizing:border-box}
html{-webkit-text-size-adjust:100%}
body{margin:0;background:var(--sheet);color:var(--ink);
 font:1rem/1.5 "Noto Sans","Liberation Sans","DejaVu Sans",Arial,sans-serif;
 overflow-wrap:anywhere}
.sheet{max-width:48rem;margin:0 auto;padding:.75rem 1rem 3rem}
nav{font-size:.9rem;border-bottom:1px solid var(--rule);padding:.4rem 0;margin-bottom:1rem}
nav a{margin-right:.35rem;display:inline-block;padding:.2rem 0}
nav span{margin-right:.35rem;color:var(--soft)}
h1{font-size:1.55rem;line-height:1.2;margin:.4rem 0 .6rem}
h2{font-size:1.15rem;line-height:1.25;margin:1.8rem 0 .5rem;padding-top:.5rem;
 border-top:3px solid var(--deep)}
h3{font-size:1em;margin:1.2rem 0 .3rem}
h1::first-letter,h2::first-letter,h3::first-letter{text-transform:uppercase}
p{margin:.4rem 0 .7rem}
a{color:var(--deep);text-underline-offset:.15em}
a:focus-visible,input:focus-visible,summary:focus-visible{outline:3px solid #b45309;
 outline-offset:2px}
ul,ol{margin:.3rem 0 .8rem;padding-left:1.4rem}
li{margin:.2rem 0}
table{border-collapse:collapse;width:100%;margin:.4rem 0 1rem;font-size:.95em}
th,td{text-align:left;vertical-align:top;padding:.35rem .5rem .35rem 0;
 border-bottom:1px solid var(--rule)}
td{overflow-wrap:break-word}
th{border-bottom:2px solid var(--ink);overflow-wrap:normal}
td:first-child{min-width:6rem}
dl{margin:.4rem 0 1rem}
dt{font-weight:700;margin-top:.5rem}
dd{margin:0 0 .2rem}
small,.soft{color:var(--soft)}
.lead{font-size:1.1em}
.kind{color:var(--soft);font-size:.85em;text-transform:uppercase;letter-spacing:.06em;margin:0}
.columns{columns:16rem;column-gap:2rem;list-style:none;padding:0}
.columns li{break-inside:avoid;margin:0;padding:.3rem 0;border-bottom:1px solid var(--tint)}
.slim td{padding:.15rem .5rem .15rem 0}
.ticks.columns li{border:0;padding:.1rem 0}
.ticks{list-style:none;padding:0}.ticks li::before{content:"\2610\a0"}
.ride{border:4px double var(--ink);padding:.6rem .9rem;margin:1rem 0;break-inside:avoid}
.ride b{display:block;font-size:1.2em;text-transform:uppercase;letter-spacing:.04em}
.said{border:2px solid var(--ink);margin:.7rem 0;break-inside:avoid;background:#fff}
.said p{margin:.35rem .7rem}
.said .signal{margin:0;padding:.25rem .7rem;font-weight:700;letter-spacing:.08em;
 border-bottom:2px solid var(--ink);print-color-adjust:exact;-webkit-print-color-adjust:exact}
.DANGER{border:5px double #111}.DANGER .signal{background:#111;color:#fff}
.WARNING{border-width:4px}.WARNING .signal{background:#d9730d;color:#111}
.CAUTION{border-style:dashed}.CAUTION .signal{background:#f0d264;color:#111}
.NOTICE{border-style:dotted}.NOTICE .signal{background:#d5dfe6;color:#111}
.step{border-left:4px solid var(--rule);padding:.1rem 0 .1rem .8rem;margin:1.1rem 0}
.blank{display:block;border-bottom:1px solid var(--ink);min-height:1.9em;padding-top:.4em;
 color:var(--soft);font-size:.9em}
svg{max-width:100%;height:auto;display:block;margin:.5rem 0}
svg.section{width:min(100%,33rem);max-height:none}svg.section.marked{width:auto;max-height:25rem}
svg.section.state{width:auto;max-height:33rem}
.narrow-only{display:none}
.find{font:inherit;width:100%;padding:.6rem;border:2px solid var(--deep);background:#fff;
 color:var(--ink)}
footer{margin-top:2.5rem;border-top:1px solid var(--rule);padding-top:.5rem;font-size:.85em;
 color:var(--soft)}
@media screen and (max-width:699px){.wide-only{display:none}.narrow-only{display:block}}
@media (max-width:430px){
 .wide thead{display:none}
 .wide tr{display:block;border-bottom:1px solid var(--ink);padding:.35rem 0}
 .wide td{display:block;border:0;padding:.1rem 0}
 .wide td::before{content:attr(data-head) ": ";font-weight:700}
}
@media print{
 body{background:#fff;color:#000;font-size:10.5pt;line-height:1.35}
 .sheet{max-width:none;padding:0}
 nav,.screen-only{display:none}
 a{color:inherit;text-decoration:none}
 h1,h2,h3{break-after:avoid}
 h2{margin-top:1.1rem}
 tr,dd,.step>p{break-inside:avoid}
 .step{break-inside:auto;margin:.7rem 0}.step h3{margin-top:.2rem}
 svg{max-height:48mm;width:auto}svg.section{max-height:62mm;break-inside:avoid}
 svg.section.state{max-height:84mm}svg.section.all{max-height:140mm}
 table{margin:.3rem 0 .5rem}.blank{min-height:2.1em}
}
"""

#: what a roll of paper needs besides
_NARROW = r"""
 .blank{padding-bottom:1.6em}.lead{font-size:1em}.step{border:0;padding:0}
 body{font-size:9pt;line-height:1.3}
 h1{font-size:11.5pt}h2{font-size:10.5pt;margin-top:.7rem}
 ul,ol{padding-left:1.1rem}.columns{columns:1}.wide-only{display:none}
"""


def page(
    title: str,
    *parts: str,
    way: Iterable[tuple[str, str]] = (),
    foot: str = "",
    paper: Paper = "printer",
    script: str = "",
) -> str:
    """One complete HTML file.

    Parameters
    ----------
    title : heading of the page and of its window.
    parts : what the page says; text is escaped, `Html` stands as it is.
    way : (target, text) of the pages that lead here, shown on the screen only.
    foot : one line at the end, for instance which knowledge it rests on.
    paper : ``printer`` fits whatever paper is chosen; ``a4`` and ``receipt`` (80 mm) fix it.
    script : code that runs at the end of the page; without one the page forbids all code.

    >>> "<h1>A &amp; B</h1>" in page("A & B", "text")
    True
    """
    policy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"
    policy += "; script-src 'unsafe-inline'" if script else ""
    head = [
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        # An icon of no bytes, or a browser asks the server for one.
        tag("link", rel="icon", href="data:,"),
        tag("style", Html(_style(paper))),
    ]
    steps = [link(target, text) for target, text in way]
    body = [
        tag("nav", join(steps, " "), aria_label="Way here") if steps else Html(),
        tag("main", tag("h1", title), join(parts)),
        tag("footer", foot) if foot else Html(),
    ]
    sheet = tag("div", join(body), class_="sheet")
    code = tag("script", Html(script)) if script else Html()
    return (
        '<!doctype html>\n<html lang="en">\n'
        f"{tag('head', join(head))}\n{tag('body', sheet, code)}\n</html>\n"
    )


def _style(paper: Paper) -> str:
    narrow = f"@media print and (max-width:430px){{@page{{margin:3mm}}{_NARROW}}}"
    # A browser may judge the width by its own paper, not by the page's: a roll says it outright.
    return f"{_SHEETS[paper]}{_STYLE}{narrow}" + (
        f"@media print{{{_NARROW}}}" if paper == "receipt" else ""
    )


def caution_box(caution: Caution, *, again: bool = False) -> Html:
    """One safety message: signal word, hazard, what happens, how to avoid it.

    ``again``: it stands whole above, so that its first sentence is enough.
    """
    rest = (
        (tag("p", tag("b", caution.hazard)),)
        if again
        else (
            tag("p", tag("b", caution.hazard), " ", caution.consequence),
            tag("p", caution.avoidance),
        )
    )
    return tag(
        "div",
        tag("p", caution.signal_word, class_="signal"),
        *rest,
        class_=f"said {caution.signal_word}",
        role="note",
        aria_label=caution.signal_word,
    )


def caution_boxes(cautions: Iterable[Caution]) -> Html:
    """Safety messages in the order given; nothing at all if there are none."""
    return join(caution_box(caution) for caution in cautions)


def ride_box(verdict: Shown, why: str) -> Html:
    """May it be ridden as it is: words in a frame, and why."""
    return tag("div", tag("b", _RIDE[verdict]), why, class_="ride", role="note")


def write_in(label: str) -> Html:
    """A line to write on with a pen, with what belongs there."""
    return tag("span", label, class_="blank")


def embedded(data: str) -> Html:
    """JSON text for a script of the page to read; harmless whatever the text holds."""
    return Html(
        '<script type="application/json" id="data">' + data.replace("<", "\\u003c") + "</script>"
    )
