// The plan as the program hands it over: plan.json.
import type { Quantity } from "./units";

/// The goal's figure stands under a key that ends in its unit.
type OfGoal<Name extends string> = Partial<Record<`${Name}_kwh` | `${Name}_cost` | `${Name}_w` | `${Name}_kh`, number>>;

export interface PlanUnit {
    id: string;
    cooling_kwh: number;
    heating_kwh: number;
    electricity_kwh: number;
    peak_cooling_w: number;
    needed_capacity_w: number;
}

export interface Purchase extends OfGoal<"goal_saves">, OfGoal<"alone_saves"> {
    surface: string;
    treatment: string;
    treatments: string[];
    area_m2: number;
    cost: number;
    /// Of the cost, what the purchase has called out first.
    call_out_cost: number;
    cost_so_far: number;
    upkeep_per_year: number;
    /// Share of the samples in whose plan it stays; null without samples.
    confidence: number | null;
    saves_kwh: number;
    saves_peak_w: number;
    saves_running_cost: number;
    /// Null where the period is no whole year or nothing is saved.
    payback_years: number | null;
    /// The light of the month with most of it a day; null of a shade. In words of the program: `why`.
    light: { month: number; day_kwh_m2: number; direct_share: number; half_from: string; half_to: string } | null;
    why: string;
    /// What is built, where the purchase is a shade and no treatment.
    shade: { name: string; kind: string; reach_m: number; height_m: number | null; pieces: number } | null;
}

export interface Part {
    treatment: string;
    cost: number;
    ordered_m2: number;
    coat_cost: number;
    upkeep_per_year: number;
}

export interface Candidate extends OfGoal<"alone_saves"> {
    surface: string;
    treatment: string;
    treatments: string[];
    parts: Part[];
    area_m2: number;
    cost: number;
}

export interface ShadeTrial {
    name: string;
    kind: string;
    pieces: number;
    area_m2: number;
    cost: number;
    life_years: number;
    upkeep_per_year: number;
}

export interface CallOut {
    call_out: string;
    unit: string;
    cost: number;
    shared_by: string[];
}

export interface Confidence extends OfGoal<"saving_low">, OfGoal<"saving_high"> {
    samples: number;
    /// Share of the samples in which no unit is above a limit; null where there are none.
    within_limits: number | null;
    inputs: { input: string; rank_correlation_saving: number; rank_correlation_plan_kept: number }[];
    ranks: { surface: string; rank: number; rank_low: number; rank_high: number }[];
}

export interface FrontierPoint extends OfGoal<"goal"> {
    budget: number;
    cost: number;
    call_out_cost: number;
    cooling_kwh: number;
    candidates: number[];
    shades: number[];
}

/// What the first tenth of the money buys.
export interface FirstTenth extends OfGoal<"saved"> {
    purchases: number;
    cost: number;
    share_of_saving: number;
}

export interface Plan extends OfGoal<"saved">, OfGoal<"bound"> {
    goal: "cooling energy" | "running cost" | "peak load" | "present value of costs" | "degree-hours too hot";
    budget: number;
    spent: number;
    currency: string;
    before: { units: PlanUnit[] } & OfGoal<"goal">;
    after: { units: PlanUnit[] } & OfGoal<"goal">;
    saved_kwh: number;
    saved_peak_w: number;
    saved_running_cost: number;
    gap: number;
    first_tenth: FirstTenth | null;
    plans_run: number;
    chosen: Purchase[];
    confidence: Confidence | null;
    call_outs: CallOut[];
    frontier: FrontierPoint[];
    candidates: Candidate[];
    shade_trials: ShadeTrial[];
}

/// As `quantity` wants it: loads in kW.
export function of_goal(plan: Plan, from: object, name: string): { value: number; quantity: Quantity } {
    const figures = from as Record<string, number | undefined>;
    switch (plan.goal) {
        case "cooling energy":
            return { value: figures[`${name}_kwh`] ?? NaN, quantity: "heat" };
        case "running cost":
        case "present value of costs":
            return { value: figures[`${name}_cost`] ?? NaN, quantity: "money" };
        case "degree-hours too hot":
            return { value: figures[`${name}_kh`] ?? NaN, quantity: "degree_hours" };
        case "peak load":
            return { value: (figures[`${name}_w`] ?? NaN) / 1000, quantity: "load" };
    }
}

/// Surfaces treated and shades built.
export function purchases_of(point: FrontierPoint): number {
    return point.candidates.length + point.shades.length;
}

/// What one budget buys and another does not: surface or shade, and what.
export function bought_beside(plan: Plan, point: FrontierPoint, other: FrontierPoint): [string, string][] {
    const candidates = point.candidates.filter((c) => !other.candidates.includes(c)).map((c) => plan.candidates[c]!);
    const shades = point.shades.filter((t) => !other.shades.includes(t)).map((t) => plan.shade_trials[t]!);
    return [...candidates.map((c): [string, string] => [c.surface, c.treatment]), ...shades.map((t): [string, string] => [t.name, t.kind])];
}

/// Surfaces by what the best of their finishes saves alone for its cost, 1 the most.
export function ranks_alone(plan: Plan): Map<string, number> {
    const best = new Map<string, number>();
    for (const candidate of plan.candidates) {
        const saved = of_goal(plan, candidate, "alone_saves").value;
        if (!(saved > 0)) continue;
        best.set(candidate.surface, Math.max(best.get(candidate.surface) ?? 0, saved / Math.max(candidate.cost, 1e-9)));
    }
    const order = [...best].sort((a, b) => b[1] - a[1]);
    return new Map(order.map(([surface], n) => [surface, n + 1]));
}

/// Which of the frontier's budgets is the plan's own.
export function own_point(plan: Plan): number {
    return Math.max(0, plan.frontier.findIndex((point) => point.budget === plan.budget));
}

/// Every finish that is bought for any budget, those of the plan first.
export function finishes_of(plan: Plan): string[] {
    const bought = plan.frontier.flatMap((point) => point.candidates.map((c) => plan.candidates[c]!.treatment));
    return [...new Set([...plan.chosen.filter((item) => !item.shade).map((item) => item.treatment), ...bought])];
}
