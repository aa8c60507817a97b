// How sure a plan is: what stays in it, what moves it, and how far ranks spread.
import { stem, type Run } from "./data";
import { h } from "./dom";
import { figure_text } from "./frontier";
import type { Confidence, Plan } from "./plan_data";
import { Table, type Column } from "./table";
import { text } from "./text";
import { number, with_unit } from "./units";

const words = text.plan;
const names = words.columns;

/// In the order of plan.json, the first rows of it.
function short_table<Row>(
    file: string,
    caption: string,
    rows: Row[],
    name_of: (row: Row) => string,
    columns: Column<Row>[],
): HTMLElement {
    const listed = { sorted_by: 0, unsorted: true, first_rows: 8, printed_rows: 8, tools: false };
    return new Table<Row>({ caption, file, columns, rows, name_of, ...listed }).element;
}

function inputs_table(run: Run, sure: Confidence): HTMLElement {
    return short_table(`${stem(run)}-uncertain-inputs.csv`, words.inputs, sure.inputs, (i) => i.input, [
        { name: names.input, value: (i) => i.input },
        { name: names.moves_saving, value: (i) => i.rank_correlation_saving, quantity: "count", digits: 2 },
        { name: names.moves_plan, value: (i) => i.rank_correlation_plan_kept, quantity: "count", digits: 2 },
    ]);
}

function ranks_table(run: Run, sure: Confidence): HTMLElement {
    return short_table(`${stem(run)}-rank-spread.csv`, words.ranks, sure.ranks, (r) => r.surface, [
        { name: names.surface, value: (r) => r.surface },
        { name: names.rank, value: (r) => r.rank, quantity: "count", digits: 0 },
        { name: names.rank_low, value: (r) => r.rank_low, quantity: "count", digits: 0 },
        { name: names.rank_high, value: (r) => r.rank_high, quantity: "count", digits: 0 },
    ]);
}

/// Nothing without samples.
export function sureness(run: Run, plan: Plan): HTMLElement[] {
    const sure = plan.confidence;
    if (!sure || plan.chosen.length === 0) return [];
    const low = figure_text(plan, sure, "saving_low");
    const high = figure_text(plan, sure, "saving_high");
    return [
        h("h3", {}, words.sure),
        h("p", { class: "note" }, words.sure_note(number(sure.samples), low, high)),
        ...(sure.within_limits === null
            ? []
            : [h("p", { class: "note" }, words.within_limits(with_unit(100 * sure.within_limits, "percent", 0)))]),
        h(
            "div",
            { class: "two" },
            h("div", {}, h("h4", {}, words.inputs), h("p", { class: "note" }, words.inputs_note), inputs_table(run, sure)),
            h("div", {}, h("h4", {}, words.ranks), h("p", { class: "note" }, words.ranks_note), ranks_table(run, sure)),
        ),
    ];
}
