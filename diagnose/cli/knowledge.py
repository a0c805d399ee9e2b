"""``diagnose knowledge ...``: the author's commands."""

from __future__ import annotations

import argparse
from pathlib import Path

from diagnose.cli import options
from diagnose.cli.context import Context
from diagnose.errors import InputError, KnowledgeError
from diagnose.knowledge.root import knowledge_root


def check_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("--watch", action="store_true", help="again whenever a file changes")


def check(arguments: argparse.Namespace, context: Context) -> int:
    """Every problem with file and line, then what the pack comes to; again at each change."""
    from diagnose.cli.gate import changes, gate

    root = knowledge_root(arguments.knowledge)
    packs = [arguments.pack] if arguments.pack else []
    if not arguments.watch:
        print(gate(root, packs))
        return 0
    for _ in changes(root):
        try:
            print(gate(root, packs), flush=True)
        except KnowledgeError as fault:
            print(fault, flush=True)
        print("-- waiting for a change; Ctrl-C ends --", flush=True)
    return 0


def show_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("id")
    sub.add_argument("--width", type=int, default=80)


def show(arguments: argparse.Namespace, context: Context) -> int:
    """One card as text, and where it points."""
    from diagnose.pictures.cross_section_text import section_text
    from diagnose.reports.knowledge_views import show as view
    from diagnose.reports.pointing import section_of

    knowledge, ident = context.knowledge, arguments.id
    print(view(knowledge, ident, arguments.width))
    # The steps of a sheet point nearly everywhere.
    pointed = [] if ident in knowledge.sheets else knowledge.points_to(ident)
    if section := section_of(knowledge, pointed):
        print("\n".join(section_text(section, max(arguments.width, 24))))
    return 0


def draw_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("id", nargs="?", help="a part, or a card: where it points; all without it")
    sub.add_argument("--svg", metavar="FILE", help="write the picture there, to print or to show")
    sub.add_argument("--width", type=int, default=80)


def draw(arguments: argparse.Namespace, context: Context) -> int:
    """The device cut open: in characters, or as a picture."""
    from diagnose.cli.papers import write_page
    from diagnose.pictures.cross_section_svg import section_svg
    from diagnose.pictures.cross_section_text import section_text
    from diagnose.reports.pointing import section_of
    from diagnose.reports.usage import kinds_of

    knowledge, ident = context.knowledge, arguments.id
    if ident is not None:
        kinds_of(knowledge, ident)
    pointed = knowledge.points_to(ident) if ident else []
    section = section_of(knowledge, pointed, whole=ident is None)
    if section is None:
        raise InputError(
            "There is nothing to point at.",
            where=ident or knowledge.pack.id,
            next_step="See: diagnose knowledge draw" if ident else "This pack has no drawing.",
        )
    if arguments.svg:
        write_page(arguments.svg, section_svg(section) + "\n")
    else:
        print("\n".join(section_text(section, max(arguments.width, 24))))
    return 0


def graph_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("--format", choices=("dot", "json", "bif"), default="dot")


def graph(arguments: argparse.Namespace, context: Context) -> int:
    """The symptom graph, or the belief network, in an open format."""
    if arguments.format == "bif":
        from diagnose.belief.bif import to_bif
        from diagnose.belief.compiled import compile_pack

        print(to_bif(compile_pack(context.knowledge).network), end="")
        return 0
    from diagnose.symptom_graph import export

    net = export.graph(context.knowledge)
    print(export.to_dot(net) if arguments.format == "dot" else export.to_json(net))
    return 0


def book_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)
    sub.add_argument("directory")


def book(arguments: argparse.Namespace, context: Context) -> int:
    """The knowledge as linked pages."""
    from diagnose.reports.book import write_book

    pages = write_book(context.knowledge, Path(arguments.directory))
    print(f"{len(pages)} pages; begin with {pages[0]}")
    return 0


def prove_options(sub: argparse.ArgumentParser) -> None:
    options.knowledge(sub)


schemas_options = prove_options


def prove(arguments: argparse.Namespace, context: Context) -> int:
    """That no route from a complaint goes round a caution."""
    from diagnose.symptom_graph.proof import prove as proof_of

    proof = proof_of(context.knowledge)
    for gap in proof.unguarded:
        print(f"UNGUARDED: {gap}")
    print(
        f"{proof.routes} routes to {proof.deeds} steps over {proof.nodes} states and"
        f" {proof.edges} moves: {len(proof.unguarded)} unguarded"
    )
    return 1 if proof.unguarded else 0


def schemas(arguments: argparse.Namespace, context: Context) -> int:
    """Write the JSON Schemas beside the cards, for editors."""
    from diagnose.knowledge.schemas import write_schemas

    for path in write_schemas(knowledge_root(arguments.knowledge)):
        print(path)
    return 0
