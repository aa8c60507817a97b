// What a plan has ordered and called out.
import { stem, type Run } from "./data";
import { h } from "./dom";
import { in_money, money_digits } from "./frontier";
import type { CallOut, Plan } from "./plan_data";
import { Table, type Column } from "./table";
import { text } from "./text";
import { number } from "./units";

const words = text.plan;
const names = words.columns;

export interface Needed {
    name: string;
    surfaces: number;
    area_m2: number;
    ordered_m2: number;
    cost: number;
    life_years: number;
    coat_cost: number;
    coat_years: number | null;
    upkeep_per_year: number;
}

/// What all purchases of a budget need of each treatment and shade, as a buyer orders it.
export function needed(run: Run, plan: Plan, point: number): Needed[] {
    const all = new Map<string, Needed>();
    for (const c of plan.frontier[point]!.candidates) {
        const { parts, area_m2 } = plan.candidates[c]!;
        for (const part of parts) {
            const { life_years, recoat_years } = run.treatments.find((t) => t.name === part.treatment)!;
            const sum = all.get(part.treatment) ?? {
                name: part.treatment,
                surfaces: 0,
                area_m2: 0,
                ordered_m2: 0,
                cost: 0,
                life_years,
                coat_cost: 0,
                coat_years: recoat_years,
                upkeep_per_year: 0,
            };
            sum.surfaces += 1;
            sum.area_m2 += area_m2;
            sum.ordered_m2 += part.ordered_m2;
            sum.cost += part.cost;
            sum.coat_cost += part.coat_cost;
            sum.upkeep_per_year += part.upkeep_per_year;
            all.set(part.treatment, sum);
        }
    }
    const shades = plan.frontier[point]!.shades.map((t): Needed => {
        const trial = plan.shade_trials[t]!;
        return { ...trial, surfaces: trial.pieces, ordered_m2: trial.area_m2, coat_cost: 0, coat_years: null };
    });
    return [...all.values(), ...shades].sort((a, b) => b.cost - a.cost);
}

export function needed_table(run: Run, plan: Plan, point: number): Table<Needed> {
    const rows = needed(run, plan, point);
    const money = { quantity: "money", digits: money_digits(plan), unit: plan.currency } as const;
    const coats: Column<Needed>[] = [
        { name: names.coat, value: (n) => (n.coat_years === null ? null : n.coat_cost), ...money },
        { name: names.coat_years, value: (n) => n.coat_years, quantity: "years", digits: 0 },
    ];
    return new Table<Needed>({
        caption: words.needed,
        file: `${stem(run)}-needed.csv`,
        columns: [
            { name: names.treatment, value: (n) => n.name },
            { name: names.surfaces, value: (n) => n.surfaces, quantity: "count", digits: 0 },
            { name: names.area, value: (n) => n.area_m2, quantity: "area", digits: 1 },
            { name: names.ordered, value: (n) => n.ordered_m2, quantity: "area", digits: 1 },
            { name: names.cost, value: (n) => n.cost, ...money },
            { name: names.life, value: (n) => n.life_years, quantity: "years", digits: 0 },
            { name: names.worn, value: (n) => n.cost / n.life_years, ...money, unit: names.a_year(plan.currency) },
            ...(rows.some((n) => n.coat_years !== null) ? coats : []),
            { name: names.upkeep, value: (n) => n.upkeep_per_year, ...money, unit: names.a_year(plan.currency) },
        ],
        rows,
        name_of: (n) => n.name,
        sorted_by: 0,
        unsorted: true,
        tools: false,
    });
}

/// Of the plan's own budget; nothing where nothing is called out.
export function call_outs_table(run: Run, plan: Plan): HTMLElement[] {
    if (plan.call_outs.length === 0) return [];
    const cost = plan.call_outs.reduce((sum, call) => sum + call.cost, 0);
    const table = new Table<CallOut>({
        caption: words.call_outs,
        file: `${stem(run)}-call-outs.csv`,
        columns: [
            { name: names.unit, value: (c) => c.unit },
            { name: names.kind, value: (c) => c.call_out },
            { name: names.cost, value: (c) => c.cost, quantity: "money", digits: money_digits(plan), unit: plan.currency },
            { name: names.shared_by, value: (c) => c.shared_by.map((name) => within(name, c.unit)).join(", "), sentence: true },
        ],
        rows: plan.call_outs,
        name_of: (c) => `${c.unit} ${c.call_out}`,
        sorted_by: 0,
        unsorted: true,
        first_rows: 15,
        printed_rows: 30,
        tools: false,
    });
    return [
        h("h3", {}, words.call_outs),
        h("p", { class: "note" }, words.call_outs_note(number(plan.call_outs.length), in_money(plan, cost))),
        table.element,
    ];
}

/// Beside the unit's name its surfaces need no more of theirs than the end.
function within(name: string, unit: string): string {
    return name.startsWith(`${unit}/`) ? name.slice(unit.length + 1) : name;
}
