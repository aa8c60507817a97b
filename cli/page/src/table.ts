// Tables that sort, filter, copy and download.
import { h, fresh_id } from "./dom";
import { text } from "./text";
import { column_digits, converted, number, unit_of, type Quantity } from "./units";

export interface Column<Row> {
    name: string;
    value: (row: Row) => number | string | null;
    quantity?: Quantity;
    digits?: number | "by column";
    /// In place of that of the quantity.
    unit?: string | (() => string);
    /// In place of the value; the value still sorts.
    show?: (row: Row) => Node | string;
    /// In print left out.
    screen_only?: boolean;
    /// Sentences, which take more than one line.
    sentence?: boolean;
}

export interface TableOptions<Row> {
    caption: string;
    file: string;
    columns: Column<Row>[];
    rows: Row[];
    name_of: (row: Row) => string;
    kind_of?: (row: Row) => string;
    sorted_by: number;
    first_rows?: number;
    printed_rows?: number;
    is_chosen?: (row: Row) => boolean;
    tools?: boolean;
    /// Rows stand as they are given until the reader sorts them.
    unsorted?: boolean;
}

/// Long ones take several lines, short ones one.
export function words_of(value: string): HTMLElement | string {
    return value.length > 32 ? h("span", { class: "long" }, value) : value;
}

function csv_field(value: string): string {
    return /[",\n\r]/.test(value) ? `"${value.replaceAll('"', '""')}"` : value;
}

export function save(name: string, content: string, type: string): void {
    const link = h("a", { href: URL.createObjectURL(new Blob([content], { type })), download: name });
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 1000);
}

async function copy(content: string): Promise<void> {
    try {
        await navigator.clipboard.writeText(content);
    } catch {
        const area = h("textarea", { class: "off-screen" });
        area.value = content;
        document.body.append(area);
        area.select();
        document.execCommand("copy");
        area.remove();
    }
}

function unit_text<Row>(column: Column<Row>): string {
    const own = typeof column.unit === "function" ? column.unit() : column.unit;
    return own ?? (column.quantity ? unit_of(column.quantity) : "");
}

export class Table<Row> {
    readonly element: HTMLElement;
    private head = h("thead");
    private body = h("tbody");
    private count = h("span", { class: "count", "aria-live": "polite" });
    private more = h("button", { type: "button", class: "plain screen" });
    private rest = h("p", { class: "note print-only" });
    private sorted: number | null;
    private falling = false;
    private all = false;
    private words = "";
    private kind = "";
    private digits = new Map<Column<Row>, number>(); // of a drawing, those "by column"

    constructor(private options: TableOptions<Row>) {
        this.sorted = options.unsorted ? null : options.sorted_by;
        const table = h(
            "table",
            {},
            h("caption", { class: "off-screen" }, options.caption),
            this.head,
            this.body,
        );
        const scroller = h("div", { class: "scroller", tabindex: 0, role: "group", "aria-label": options.caption }, table);
        this.more.addEventListener("click", () => {
            this.all = !this.all;
            this.draw();
        });
        this.element = h(
            "div",
            { class: "table" },
            options.tools === false ? null : this.tools(),
            scroller,
            this.more,
            this.rest,
        );
        this.draw();
    }

    private tools(): HTMLElement {
        const id = fresh_id("filter");
        const box = h("input", { type: "search", id, autocomplete: "off", spellcheck: "false" });
        box.addEventListener("input", () => {
            this.words = box.value.trim().toLocaleLowerCase();
            this.draw();
        });
        const kinds = this.options.kind_of ? [...new Set(this.options.rows.map(this.options.kind_of))] : [];
        const kind_id = fresh_id("kind");
        const kind = h(
            "select",
            { id: kind_id },
            h("option", { value: "" }, text.table.every_kind),
            kinds.map((k) => h("option", { value: k }, text.card.kinds[k] ?? k)),
        );
        kind.addEventListener("change", () => {
            this.kind = kind.value;
            this.draw();
        });
        const copied = h("button", { type: "button" }, text.table.copy);
        copied.addEventListener("click", () => {
            void copy(this.written("\t")).then(() => {
                copied.textContent = text.table.copied;
                setTimeout(() => (copied.textContent = text.table.copy), 1500);
            });
        });
        const download = h("button", { type: "button" }, text.table.csv);
        // With a mark of byte order spreadsheets read names in any script.
        download.addEventListener("click", () => save(this.options.file, "\ufeff" + this.written(","), "text/csv"));
        return h(
            "div",
            { class: "tools screen" },
            h("label", { for: id, class: "field" }, h("span", {}, text.table.filter), box),
            kinds.length > 1 && h("label", { for: kind_id, class: "field" }, h("span", {}, text.table.kind), kind),
            this.count,
            h("span", { class: "push" }),
            copied,
            download,
        );
    }

    private heading(column: Column<Row>): string {
        const unit = unit_text(column);
        return unit ? `${column.name} [${unit}]` : column.name;
    }

    /// All rows that pass the filter, in the order shown, numbers with a point in the units shown.
    private written(between: string): string {
        const write = (value: number | string | null, quantity: Quantity | undefined) =>
            value === null || (typeof value === "number" && !Number.isFinite(value))
                ? ""
                : typeof value === "number"
                  ? String(Number(converted(value, quantity ?? "count").toPrecision(7)))
                  : value;
        const quote = (field: string) => (between === "," ? csv_field(field) : field.replace(/[\t\r\n]/g, " "));
        const lines = [this.options.columns.map((column) => quote(this.heading(column))).join(between)];
        for (const row of this.chosen())
            lines.push(
                this.options.columns.map((column) => quote(write(column.value(row), column.quantity))).join(between),
            );
        return lines.join("\r\n") + "\r\n";
    }

    private chosen(): Row[] {
        const { columns, rows, name_of, kind_of } = this.options;
        const kept = rows.filter(
            (row) =>
                name_of(row).toLocaleLowerCase().includes(this.words) &&
                (this.kind === "" || kind_of?.(row) === this.kind),
        );
        if (this.sorted === null) return kept;
        const { value } = columns[this.sorted]!;
        const sign = this.falling ? -1 : 1;
        // Rows without a value come last either way.
        return kept
            .map((row, n) => ({ row, n, at: value(row) }))
            .sort((a, b) => {
                if (a.at === null || b.at === null) return Number(a.at === null) - Number(b.at === null) || a.n - b.n;
                const order =
                    typeof a.at === "string" || typeof b.at === "string"
                        ? String(a.at).localeCompare(String(b.at), undefined, { numeric: true })
                        : a.at - b.at;
                return sign * order || a.n - b.n;
            })
            .map(({ row }) => row);
    }

    private digits_of(column: Column<Row>): number | undefined {
        if (column.digits !== "by column") return column.digits;
        let found = this.digits.get(column);
        if (found === undefined) {
            const values = this.options.rows.map(column.value).map((v) => (typeof v === "number" ? v : null));
            found = column_digits(values, column.quantity ?? "count");
            this.digits.set(column, found);
        }
        return found;
    }

    private cell(column: Column<Row>, row: Row): HTMLElement {
        const value = column.value(row);
        const content = column.show
            ? column.show(row)
            : typeof value === "string"
              ? words_of(value)
              : number(value, column.quantity ?? "count", this.digits_of(column));
        const classes = [column.quantity ? "number" : "", column.screen_only ? "screen" : "", column.sentence ? "sentence" : ""]
            .join(" ")
            .trim();
        return h("td", { class: classes || null }, content);
    }

    draw(): void {
        this.digits.clear();
        const { columns, first_rows, printed_rows, is_chosen } = this.options;
        const focused = this.element?.contains(document.activeElement)
            ? (document.activeElement as HTMLElement).dataset.column
            : undefined;
        this.head.replaceChildren(
            h(
                "tr",
                {},
                columns.map((column, n) => {
                    const sort = n === this.sorted ? (this.falling ? "descending" : "ascending") : null;
                    const button = h(
                        "button",
                        { type: "button", "data-column": n, title: text.table.sort(column.name) },
                        h("span", {}, column.name),
                        sort && h("span", { class: "arrow", "aria-hidden": "true" }, this.falling ? " ▾" : " ▴"),
                    );
                    button.addEventListener("click", () => {
                        this.falling = n === this.sorted ? !this.falling : !!column.quantity && n > 0;
                        this.sorted = n;
                        this.draw();
                    });
                    const unit = unit_text(column);
                    const classes = [column.quantity ? "number" : "", column.screen_only ? "screen" : ""].join(" ").trim();
                    return h(
                        "th",
                        { scope: "col", "aria-sort": sort, class: classes || null },
                        button,
                        // Where a table goes on over a page, browsers repeat texts alone.
                        h("span", { class: "print-only", "aria-hidden": "true" }, column.name),
                        unit && h("span", { class: "unit" }, unit),
                    );
                }),
            ),
        );
        const rows = this.chosen();
        const limit = this.all ? rows.length : (first_rows ?? rows.length);
        const printed = printed_rows ?? rows.length;
        const most = Math.max(limit, Math.min(printed, rows.length));
        this.body.replaceChildren(
            ...rows
                .slice(0, most)
                .map((row, n) =>
                    h(
                        "tr",
                        {
                            class:
                                [is_chosen?.(row) ? "chosen" : "", n >= limit ? "print-only" : "", n >= printed ? "screen" : ""]
                                    .join(" ")
                                    .trim() || null,
                        },
                        columns.map((column) => this.cell(column, row)),
                    ),
                ),
        );
        if (rows.length === 0)
            this.body.append(h("tr", {}, h("td", { colspan: columns.length, class: "note" }, this.words === "" && this.kind === "" ? text.table.none : text.table.nothing)));
        this.count.textContent = text.table.shown(number(rows.length), number(this.options.rows.length));
        this.more.hidden = first_rows === undefined || rows.length <= first_rows;
        this.more.textContent = this.all ? text.table.fewer : text.table.all(number(rows.length));
        this.element?.classList.toggle("short", Math.min(printed, rows.length) <= 16);
        this.rest.textContent = rows.length > printed ? text.table.rest_printed(number(rows.length - printed)) : "";
        if (focused !== undefined)
            this.head.querySelector<HTMLElement>(`[data-column="${focused}"]`)?.focus();
    }
}
