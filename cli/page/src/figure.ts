// A picture with its title, and behind a fold the same as a table.
import { h } from "./dom";
import { text } from "./text";

export interface Numbers {
    head: string[];
    rows: string[][];
}

/// The table is made when it is first opened: some have as many rows as the year has days.
export function figure(title: string, picture: Node | Node[], numbers: () => Numbers, note?: string): HTMLElement {
    const details = h("details", { class: "screen" }, h("summary", {}, text.plots.table));
    details.addEventListener("toggle", () => {
        if (!details.open || details.childElementCount > 1) return;
        const { head, rows } = numbers();
        details.append(
            h(
                "div",
                { class: "scroller low", tabindex: 0, role: "group", "aria-label": title },
                h(
                    "table",
                    { class: "small" },
                    h("thead", {}, h("tr", {}, head.map((name, n) => h("th", { scope: "col", class: n && "number" }, name)))),
                    h(
                        "tbody",
                        {},
                        rows.map((row) =>
                            h("tr", {}, row.map((cell, n) => (n ? h("td", { class: "number" }, cell) : h("th", { scope: "row" }, cell)))),
                        ),
                    ),
                ),
            ),
        );
    });
    return h(
        "figure",
        {},
        h("figcaption", {}, title),
        picture,
        note && h("p", { class: "note" }, note),
        details,
    );
}
