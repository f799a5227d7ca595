"""Cautions on the screens that need them, each with who says so and its source."""

from __future__ import annotations

import html

from inlaylab.handbook.cautions import DEFER, TOPICS, Caution, cautions_about
from inlaylab.panels.shared.controls import Words


def box(*topics: str, woods: tuple[str, ...] = (), heading: str = "Cautions") -> Words:
    """
    Show the cautions of some topics, with "follow your machine's manual" first.

    Parameters
    ----------
    *topics : str
        Names in ``handbook.cautions.TOPICS``.
    woods : tuple of str, optional
        Woods whose cautions to show.
    heading : str, optional
        Above them.
    """
    words = Words()
    words.layout.width = "100%"
    fill(words, *topics, woods=woods, heading=heading)
    return words


def fill(words: Words, *topics: str, woods: tuple[str, ...] = (), heading: str = "Cautions") -> None:
    """Show cautions in a place that is there already."""
    found = cautions_about(*topics, woods=woods)
    items = "".join(f"<li>{_line(caution)}</li>" for caution in found)
    named = ", ".join(TOPICS[topic].lower() for topic in topics)
    words.show_html(
        f'<details class="inlaylab-caution"><summary>{html.escape(heading)}: {html.escape(named)}</summary>'
        f"<p>{html.escape(DEFER)}</p><ul>{items}</ul></details>",
        text="\n".join([DEFER, *(str(caution) for caution in found)]),
    )


def in_full() -> Words:
    """Show every caution once, topic by topic."""
    parts, told = [f"<p>{html.escape(DEFER)}</p>"], [DEFER]
    for topic, heading in TOPICS.items():
        # every wood's caution is shown here, whichever woods are in use
        found = [each for each in _all() if each.topic == topic and each.in_force]
        parts.append(f"<h4>{html.escape(heading)}</h4><ul>{''.join(f'<li>{_line(each)}</li>' for each in found)}</ul>")
        told += [str(each) for each in found]
    words = Words()
    words.layout.width = "100%"
    words.show_html("".join(parts), text="\n".join(told))
    return words


def _all() -> tuple[Caution, ...]:
    from inlaylab.handbook.cautions import cautions

    return cautions()


def _line(caution: Caution) -> str:
    limit = f": <b>{html.escape(f'{caution.value} {caution.unit}'.strip())}</b>" if caution.value else ""
    average = f", {html.escape(caution.averaging)}" if caution.averaging else ""
    told = [caution.body, caution.status, caution.basis, caution.source]
    who = html.escape("; ".join(part for part in told if part))
    return f'{html.escape(caution.subject)}{limit}{average} <span class="inlaylab-hint">({who})</span>'
