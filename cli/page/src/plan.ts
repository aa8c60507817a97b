// The plan: what to buy in which order, what other budgets reach, and what becomes of the rooms.
import { stem, type Run } from "./data";
import { h } from "./dom";
import { figure_text, frontier_figure, in_money, money_digits } from "./frontier";
import { of_goal, own_point, type Plan, type PlanUnit, type Purchase } from "./plan_data";
import { call_outs_table, needed_table } from "./plan_needs";
import { sureness } from "./plan_sure";
import type { State } from "./state";
import { Table, words_of, type Column } from "./table";
import { text } from "./text";
import { column_digits, month_name, number, unit_of, with_unit } from "./units";

const words = text.plan;
const names = words.columns;

function surface_button(run: Run, state: State, name: string): HTMLElement | string {
    const n = run.summary.surfaces.findIndex((s) => s.id === name);
    if (n < 0) return words_of(name);
    const button = h("button", { type: "button", class: "name", "aria-pressed": state.now.surface === n ? "true" : "false" }, words_of(name));
    button.addEventListener("click", () => state.set({ surface: n }));
    return button;
}

/// In the units shown.
export function why_text(item: Purchase): string {
    if (!item.light) return item.why;
    const { month, day_kwh_m2, direct_share, half_from, half_to } = item.light;
    return words.why(
        with_unit(day_kwh_m2, "energy_per_area", 1),
        month_name(month - 1, "long"),
        with_unit(100 * direct_share, "percent", 0),
        half_from,
        half_to,
    );
}

/// Of the plan's own budget: in order, each with what it adds.
function in_order(run: Run, plan: Plan, state: State): Table<Purchase> {
    const money = { quantity: "money", digits: money_digits(plan), unit: plan.currency } as const;
    const calls: Column<Purchase> = { name: names.call_out, value: (p) => p.call_out_cost, ...money };
    const upkeep: Column<Purchase> = { name: names.upkeep, value: (p) => p.upkeep_per_year, ...money, unit: names.a_year(plan.currency), screen_only: true };
    const payback: Column<Purchase> = { name: names.payback, value: (p) => p.payback_years, quantity: "years", digits: 1 };
    // Of goals that no other column tells.
    const { quantity } = of_goal(plan, plan.frontier[0]!, "goal");
    const in_goal: Column<Purchase> = { name: names.goal, value: (p) => of_goal(plan, p, "goal_saves").value, quantity, digits: "by column" };
    if (quantity === "money") in_goal.unit = plan.currency;
    const untold = plan.goal === "degree-hours too hot" || plan.goal === "present value of costs";
    const sure: Column<Purchase> = { name: names.sure, value: (p) => (p.confidence === null ? null : 100 * p.confidence), quantity: "percent", digits: 0 };
    return new Table<Purchase>({
        caption: words.buy,
        file: `${stem(run)}-plan.csv`,
        columns: [
            { name: names.order, value: (p) => plan.chosen.indexOf(p) + 1, quantity: "count", digits: 0 },
            { name: names.surface, value: (p) => p.surface, show: (p) => surface_button(run, state, p.surface) },
            { name: names.treatment, value: (p) => p.treatment },
            { name: names.area, value: (p) => p.area_m2, quantity: "area", digits: 1 },
            { name: names.cost, value: (p) => p.cost, ...money },
            ...(plan.chosen.some((p) => p.call_out_cost > 0) ? [calls] : []),
            { name: names.so_far, value: (p) => p.cost_so_far, ...money },
            ...(untold ? [in_goal] : []),
            { name: names.saves, value: (p) => p.saves_kwh, quantity: "heat", digits: "by column" },
            { name: names.peak, value: (p) => p.saves_peak_w / 1000, quantity: "load", digits: 2 },
            { name: names.bill, value: (p) => p.saves_running_cost, ...money, digits: "by column" },
            ...(plan.chosen.some((p) => p.payback_years !== null) ? [payback] : []),
            ...(plan.chosen.some((p) => p.upkeep_per_year > 0) ? [upkeep] : []),
            ...(plan.confidence ? [sure] : []),
            { name: names.why, value: (p) => why_text(p), sentence: true },
        ],
        rows: plan.chosen,
        name_of: (p) => `${p.surface} ${p.treatment}`,
        sorted_by: 0,
        unsorted: true,
        first_rows: 25,
        printed_rows: 60,
        is_chosen: (p) => run.summary.surfaces[state.now.surface ?? -1]?.id === p.surface,
    });
}

interface Listed {
    what: string;
    treatment: string;
    area_m2: number;
    cost: number;
    alone: number;
}

/// Of another budget: a list, in the order of what each would save alone for its cost.
function bought_at(run: Run, plan: Plan, state: State, point: number): Table<Listed> {
    const { candidates, shades } = plan.frontier[point]!;
    const alone = (of: object) => of_goal(plan, of, "alone_saves").value;
    const bought: Listed[] = [
        ...candidates.map((c) => plan.candidates[c]!).map((c) => ({ ...c, what: c.surface, alone: alone(c) })),
        ...shades.map((t) => plan.shade_trials[t]!).map((t) => ({ ...t, what: t.name, treatment: t.kind, alone: alone(t) })),
    ];
    const { quantity } = of_goal(plan, plan.frontier[0]!, "goal");
    const saving: Column<Listed> = { name: names.alone, value: (c) => c.alone, quantity, digits: "by column" };
    if (quantity === "money") saving.unit = plan.currency;
    return new Table<Listed>({
        caption: words.bought(in_money(plan, plan.frontier[point]!.budget)),
        file: `${stem(run)}-budget.csv`,
        columns: [
            { name: names.surface, value: (c) => c.what, show: (c) => surface_button(run, state, c.what) },
            { name: names.treatment, value: (c) => c.treatment },
            { name: names.area, value: (c) => c.area_m2, quantity: "area", digits: 1 },
            { name: names.cost, value: (c) => c.cost, quantity: "money", digits: money_digits(plan), unit: plan.currency },
            saving,
        ],
        rows: bought.sort((a, b) => b.alone / b.cost - a.alone / a.cost),
        name_of: (c) => `${c.what} ${c.treatment}`,
        sorted_by: 0,
        unsorted: true,
        first_rows: 25,
        printed_rows: 60,
        is_chosen: (c) => run.summary.surfaces[state.now.surface ?? -1]?.id === c.what,
    });
}

interface Change {
    id: string;
    before: PlanUnit;
    after: PlanUnit;
}

function before_and_after(run: Run, plan: Plan): HTMLElement[] {
    const rows: Change[] = plan.before.units.map((before, n) => ({ id: before.id, before, after: plan.after.units[n]! }));
    const most = Math.max(...rows.map((row) => row.before.cooling_kwh), 1e-9);
    const level_digits = column_digits([most], "heat");
    const both = (name: string, value: (unit: PlanUnit) => number, more: Partial<Column<Change>>): Column<Change>[] => [
        { name: words.now(name), value: (row) => value(row.before), ...more },
        { name: words.then(name), value: (row) => value(row.after), ...more },
    ];
    const table = new Table<Change>({
        caption: words.rooms,
        file: `${stem(run)}-before-after.csv`,
        columns: [
            { name: names.room, value: (row) => row.id },
            ...both(names.cooling, (u) => u.cooling_kwh, { quantity: "heat", digits: "by column" }),
            ...both(names.heating, (u) => u.heating_kwh, { quantity: "heat", digits: "by column", screen_only: true }),
            ...both(names.electricity, (u) => u.electricity_kwh, { quantity: "electricity", digits: "by column" }),
            ...both(names.load, (u) => u.peak_cooling_w / 1000, { quantity: "load", digits: 2, screen_only: true }),
            ...both(names.plant, (u) => u.needed_capacity_w / 1000, { quantity: "load", digits: 2 }),
        ],
        rows,
        name_of: (row) => row.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 30,
        printed_rows: 40,
        tools: false,
    });
    const bar = (kwh: number, kind: string) => h("span", { class: `level ${kind}`, style: `width: ${(100 * kwh) / most}%` });
    const bars = h(
        "figure",
        { class: "levels" },
        h("figcaption", {}, words.cooling_by_room(unit_of("heat"))),
        h(
            "ul",
            { class: "key" },
            h("li", {}, h("span", { class: "swatch before" }), words.before),
            h("li", {}, h("span", { class: "swatch after" }), words.after),
        ),
        rows.map((row) =>
            h(
                "div",
                { class: "level-row" },
                h("span", { class: "level-name" }, row.id),
                h("span", { class: "level-track" }, bar(row.before.cooling_kwh, "before"), bar(row.after.cooling_kwh, "after")),
                h(
                    "span",
                    { class: "level-value" },
                    `${number(row.before.cooling_kwh, "heat", level_digits)} → `,
                    h("b", {}, number(row.after.cooling_kwh, "heat", level_digits)),
                ),
            ),
        ),
    );
    return [bars, table.element];
}

export function plan_intro(plan: Plan): string {
    if (plan.chosen.length === 0) return words.nothing(in_money(plan, plan.budget));
    const intro = words.intro(
        words.goals[plan.goal],
        in_money(plan, plan.budget),
        figure_text(plan, plan, "saved"),
        with_unit(100 * plan.gap, "percent", 1),
        figure_text(plan, plan, "bound"),
        number(plan.plans_run),
    );
    const first = plan.first_tenth;
    if (!first) return intro;
    const begin = words.first_money(
        in_money(plan, first.cost),
        with_unit((100 * first.cost) / (plan.spent || 1), "percent", 1),
        first.purchases,
        figure_text(plan, first, "saved"),
        with_unit(100 * first.share_of_saving, "percent", 1),
    );
    return `${intro} ${begin}`;
}

/// Parts that follow the choices of the reader by themselves.
export function plan_section(run: Run, plan: Plan, state: State): HTMLElement[] {
    const buy = h("div");
    const need = h("div");
    const title = h("h3", {});
    const intro = h("p", { class: "intro" });
    const note = h("p", { class: "note" });
    const rooms = h("div");
    const calls = h("div");
    const sure = h("div");
    let shown: Table<Purchase> | Table<Listed> | null = null;
    const own = own_point(plan);
    const tell_bought = () => {
        const point = state.now.plan;
        const is_own = point === own;
        title.textContent = is_own ? words.buy : words.bought(in_money(plan, plan.frontier[point]!.budget));
        note.textContent = is_own ? words.order_note : words.list_note;
        shown = is_own ? in_order(run, plan, state) : bought_at(run, plan, state, point);
        buy.replaceChildren(shown.element);
        need.replaceChildren(needed_table(run, plan, point).element);
    };
    const tell_rest = () => {
        intro.textContent = plan_intro(plan);
        rooms.replaceChildren(...before_and_after(run, plan));
        calls.replaceChildren(...call_outs_table(run, plan));
        sure.replaceChildren(...sureness(run, plan));
    };
    state.on(["plan"], tell_bought);
    state.on(["surface"], () => shown?.draw());
    state.on(["system"], () => {
        tell_bought();
        tell_rest();
    });
    tell_bought();
    tell_rest();
    return [
        intro,
        frontier_figure(plan, state),
        title,
        note,
        buy,
        sure,
        h("h3", {}, words.needed),
        h("p", { class: "note" }, words.needed_note),
        need,
        calls,
        h("h3", {}, words.rooms_of(in_money(plan, plan.budget))),
        rooms,
    ];
}
