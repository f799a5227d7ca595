"""Cautions on the screens that need them, each with who says so and its source."""

from __future__ import annotations

import html
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from inlaylab.handbook.cautions import DEFER, TOPICS, Caution, cautions, cautions_about
from inlaylab.panels.shared.controls import Words
from inlaylab.wording.panels.shared import LIMITS

if TYPE_CHECKING:
    import traitlets

    from inlaylab.bench.shop import Shop
    from inlaylab.panels.shared.entries import Entry


def box(*topics: str, woods: tuple[str, ...] = (), heading: str = "Cautions") -> Words:
    """
    Show the cautions of some topics, with what goes before them first.

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


def box_of_pair(pair: Entry, shop_of: Callable[[], Shop], *topics: str) -> Words:
    """
    Show the cautions of some topics, and of the woods of the pair that is chosen.

    Parameters
    ----------
    pair : panels.shared.entries.Entry
        Where the pair is chosen; the cautions follow it.
    shop_of : callable
        Gives the log's records as they are now.
    *topics : str
        Names in ``handbook.cautions.TOPICS``.
    """
    words = Words()
    words.layout.width = "100%"

    def show(_: traitlets.Bunch | None = None) -> None:
        chosen = next((each for each in shop_of().pairs if each.pair == pair.value), None)
        woods = () if chosen is None else (chosen.host, chosen.insert)
        fill(words, *topics, *(("woods",) if woods else ()), woods=woods)

    pair.observe(show, "value")
    show()
    return words


def fill(words: Words, *topics: str, woods: tuple[str, ...] = (), heading: str = "Cautions") -> None:
    """Show cautions in a place that is there already; published limits are folded away behind them."""
    found = cautions_about(*topics, woods=woods)
    named = ", ".join(TOPICS[topic].lower() for topic in topics)
    words.show_html(
        f'<details class="inlaylab-caution"><summary>{html.escape(heading)}: {html.escape(named)}</summary>'
        f"<p>{html.escape(DEFER)}</p>{_listed(found)}</details>",
        text="\n".join([DEFER, *(str(caution) for caution in found)]),
    )


def _listed(found: Sequence[Caution]) -> str:
    """List what to do; fold away what the law or a body allows."""
    plain = "".join(f"<li>{_line(each)}</li>" for each in found if not each.is_limit)
    limits = "".join(f"<li>{_line(each)}</li>" for each in found if each.is_limit)
    folded = f"<details><summary>{LIMITS}</summary><ul>{limits}</ul></details>" if limits else ""
    return f"<ul>{plain}</ul>{folded}"


def in_full() -> Words:
    """Show every caution once, topic by topic."""
    parts, told = [f"<p>{html.escape(DEFER)}</p>"], [DEFER]
    for topic, heading in TOPICS.items():
        # every wood's caution is shown here, whichever woods are in use
        found = [each for each in cautions() if each.topic == topic and each.in_force]
        parts.append(f"<h4>{html.escape(heading)}</h4>{_listed(found)}")
        told += [str(each) for each in found]
    words = Words()
    words.layout.width = "100%"
    words.show_html("".join(parts), text="\n".join(told))
    return words


def _line(caution: Caution) -> str:
    limit = f": <b>{html.escape(f'{caution.value} {caution.unit}'.strip())}</b>" if caution.value else ""
    average = f", {html.escape(caution.averaging)}" if caution.averaging else ""
    told = f' <span class="inlaylab-hint">({html.escape(caution.told_by)})</span>' if caution.told_by else ""
    return f"{html.escape(caution.subject)}{limit}{average}{told}"
