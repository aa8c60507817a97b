// What colours the model: the value of every surface or facet under a paint, and the scale of it.
import { kind_colour, round_ends, scale_colour, ticks_between, type Rgb } from "./colour";
import type { Run } from "./data";
import { finishes_of } from "./plan_data";
import type { Choices, Paint } from "./state";
import { converted, unit_of, type Quantity } from "./units";

export interface Scale {
    quantity: Quantity;
    low: number;
    high: number;
    /// In the unit shown, from low to high.
    ticks: { at: number; value: number }[];
    step: number;
    unit: string;
    reversed: boolean;
    /// Names of what has no order; their index is the value.
    kinds?: string[];
}

function ends(values: Iterable<number>): [number, number] {
    let low = Infinity;
    let high = -Infinity;
    for (const value of values) {
        if (!Number.isFinite(value)) continue;
        if (value < low) low = value;
        if (value > high) high = value;
    }
    return low <= high ? [low, high] : [0, 1];
}

export function quantity_of(paint: Paint): Quantity {
    const of: Record<Paint, Quantity> = {
        sun_period: "energy_per_area",
        sun_hour: "flux",
        outside: "temperature",
        inward: "flux",
        rank: "count",
        finish: "count",
    };
    return of[paint];
}

/// Whether the colours change with the hour.
export function is_hourly(paint: Paint): boolean {
    return paint === "sun_hour" || paint === "outside" || paint === "inward";
}

export function paints_of(run: Run): Paint[] {
    const there: Paint[] = ["sun_period", "sun_hour"];
    if (run.hours.surface_outside_c) there.push("outside", "inward");
    if (run.summary.surfaces.some((s) => s.rank)) there.push("rank");
    if (run.plan && run.plan.candidates.length > 0) there.push("finish");
    return there;
}

export class Painter {
    private known = new Map<Paint, [number, number]>();
    private finishes: string[];
    /// Of every budget: the finish of each surface that has one.
    private bought: Map<string, number>[];
    constructor(private run: Run) {
        const plan = run.plan;
        this.finishes = plan ? finishes_of(plan) : [];
        this.bought = (plan?.frontier ?? []).map(
            (point) =>
                new Map(
                    point.candidates.map((c) => {
                        const { surface, treatment } = plan!.candidates[c]!;
                        return [surface, this.finishes.indexOf(treatment)];
                    }),
                ),
        );
    }

    /// What is bought for a surface at the chosen budget.
    finish_name(surface: number, at: Readonly<Choices>): string | null {
        const n = this.surface_value("finish", surface, at);
        return Number.isFinite(n) ? this.finishes[n]! : null;
    }

    /// Finishes that the chosen budget buys, as their places among all.
    kinds_bought(at: Readonly<Choices>): number[] {
        return [...new Set(this.bought[at.plan]?.values())].sort((a, b) => a - b);
    }

    /// Of a surface at the chosen hour; NaN where it has none.
    surface_value(paint: Paint, surface: number, at: Readonly<Choices>): number {
        const told = this.run.summary.surfaces[surface]!;
        if (told.exposed_area_m2 <= 0) return NaN;
        const i = (surface * this.run.n_days + at.day) * 24 + at.hour;
        switch (paint) {
            case "sun_period":
                return told.sun.total_kwh_m2;
            case "sun_hour":
                return this.run.hours.surface_sun_w_m2[i] ?? NaN;
            case "outside":
                return this.run.hours.surface_outside_c?.[i] ?? NaN;
            case "inward":
                return told.unit === null ? NaN : (this.run.hours.surface_inward_w?.[i] ?? NaN) / told.area_m2;
            case "rank":
                return told.rank ?? NaN;
            case "finish":
                return this.bought[at.plan]?.get(told.id) ?? NaN;
        }
    }

    facet_value(facet: number, by_surface: Float64Array, paint: Paint): number {
        const { facet_covered, facet_surface, facet_sun_kwh_m2 } = this.run.scene;
        if (facet >= facet_covered.length || facet_covered[facet]) return NaN;
        return paint === "sun_period" ? facet_sun_kwh_m2[facet]! : by_surface[facet_surface[facet]!]!;
    }

    /// The same for every hour, so that colours of two hours can be compared.
    private range(paint: Paint): [number, number] {
        const found = this.known.get(paint);
        if (found) return found;
        const { hours, summary, scene, n_days } = this.run;
        const per_surface = n_days * 24;
        let made: [number, number] = [0, 1];
        if (paint === "sun_period") made = [0, ends(scene.facet_sun_kwh_m2)[1]];
        if (paint === "sun_hour") made = [0, ends(hours.surface_sun_w_m2)[1]];
        if (paint === "outside") made = ends(hours.surface_outside_c!);
        if (paint === "inward") {
            made = ends(
                summary.surfaces.flatMap((s, n) =>
                    s.exposed_area_m2 > 0 && s.unit !== null
                        ? ends(hours.surface_inward_w!.subarray(n * per_surface, (n + 1) * per_surface)).map(
                              (w) => w / s.area_m2,
                          )
                        : [],
                ),
            );
        }
        if (paint === "rank") made = [1, Math.max(2, ...summary.surfaces.map((s) => s.rank ?? 1))];
        this.known.set(paint, made);
        return made;
    }

    scale(paint: Paint): Scale {
        const quantity = quantity_of(paint);
        if (paint === "finish")
            return { quantity, low: 0, high: 1, step: 1, ticks: [], unit: "", reversed: false, kinds: this.finishes };
        const [low, high] = this.range(paint).map((v) => converted(v, quantity)) as [number, number];
        // Colours end where the values do; only the numbers beside them are round.
        const step = paint === "rank" ? 1 : round_ends(low, high, 5).step;
        const ticks: Scale["ticks"] = [];
        if (paint === "rank") {
            const middle = Math.round((low + high) / 2);
            for (const value of new Set([high, middle, low])) ticks.push({ at: (high - value) / (high - low), value });
        } else {
            for (const value of ticks_between(low, high, step)) ticks.push({ at: (value - low) / (high - low), value });
        }
        return {
            quantity,
            low,
            high,
            step,
            ticks,
            unit: unit_of(quantity),
            reversed: paint === "rank",
        };
    }

    colour(value: number, scale: Scale): Rgb | null {
        if (!Number.isFinite(value)) return null;
        if (scale.kinds) return kind_colour(value);
        const at = (converted(value, scale.quantity) - scale.low) / (scale.high - scale.low);
        return scale_colour(scale.reversed ? 1 - at : at);
    }
}
