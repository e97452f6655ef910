"""The grammar as JSGF text (JSpeech Grammar Format, W3C note of 2000), for recognisers that read it."""

from __future__ import annotations

from collections import Counter

from bench.language.nodes import Act, Alt, Corrected, Node, Opt, Seq, Tail, Utterance, Word


def jsgf(node: Node) -> str:
    """JSGF for exactly what `node` can say. Hesitations may stand before and after."""
    writer = _Writer(_times_used(node))
    body = writer.text(node)
    rules = "\n".join(f"<{name}> = {text};" for name, text in writer.rules.items())
    return f"#JSGF V1.0;\ngrammar bench;\n{rules}\npublic <utterance> = {body};\n"


def _children(node: Node) -> tuple[Node, ...]:
    match node:
        case Seq():
            return node.parts
        case Alt():
            return node.options
        case Corrected():
            return (node.part, node.marker)
        case Opt() | Tail() | Act() | Utterance():
            return (node.part,)
    return ()


def _times_used(root: Node) -> Counter[int]:
    used: Counter[int] = Counter()
    queue = [root]
    for node in queue:
        used[id(node)] += 1
        if used[id(node)] == 1:
            queue.extend(_children(node))
    return used


class _Writer:
    """Writes a node once: what is named or used again becomes a rule of its own."""

    def __init__(self, used: Counter[int]) -> None:
        self.used = used
        self.rules: dict[str, str] = {}
        self.names: dict[int, str] = {}

    def text(self, node: Node) -> str:
        if id(node) in self.names:
            return f"<{self.names[id(node)]}>"
        body = self._body(node)
        title = node.name if isinstance(node, Act) else ""
        if not title and (self.used[id(node)] < 2 or isinstance(node, Word)):
            return body
        stem = title or "part"
        name = stem if stem not in self.rules else f"{stem}_{len(self.rules)}"
        self.names[id(node)] = name
        self.rules[name] = body
        return f"<{name}>"

    def _body(self, node: Node) -> str:
        match node:
            case Word():
                return node.text
            case Seq():
                return " ".join(map(self.text, node.parts))
            case Alt():
                return "(" + " | ".join(map(self.text, node.options)) + ")"
            case Opt():
                return f"[{self.text(node.part)}]"
            case Act() | Tail():
                return self.text(node.part)
            case Corrected():
                part = self.text(node.part)
                return f"{part} (({self.text(node.marker)}) ({part}))*"
            case Utterance():
                return self._utterance(node)
        raise TypeError(node)

    def _utterance(self, node: Utterance) -> str:
        body = self.text(node.part)
        if not node.hesitations:
            return body
        pause = "(" + " | ".join(node.hesitations) + ")*"
        return f"{pause} {body} {pause}"
