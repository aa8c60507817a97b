// The plots of one surface and of one room.
import { sun_parts, type Run } from "./data";
import { carpet, month_bars } from "./drawings";
import { figure, type Numbers } from "./figure";
import { line_plot, type Line } from "./lines";
import { sky_diagram, sky_numbers } from "./sky_diagram";
import type { State } from "./state";
import { hour_begin_min } from "./sun";
import { text } from "./text";
import { clock, converted, day_text, month_name, number, unit_of, type Quantity } from "./units";

export const part_colours = {
    direct: "--direct",
    sky: "--sky-light",
    ground: "--ground-light",
    bounced: "--bounced",
} as const;

const words = text.plots;

export function day_name(run: Run, day: number): string {
    return run.days.means_of_months
        ? text.model.mean_day(month_name(run.days.months[day]!, "long"))
        : day_text(run.days.dates[day]!);
}

type Table = Float32Array | undefined;

function of_item(table: Table, run: Run, item: number): Float32Array {
    const n = run.n_days * 24;
    return table ? table.subarray(item * n, (item + 1) * n) : new Float32Array();
}

function shown(values: ArrayLike<number>, quantity: Quantity, over = 1): (number | null)[] {
    return Array.from(values, (v) => (Number.isFinite(v) ? converted(v / over, quantity) : null));
}

function per_day(run: Run, hours: Float32Array, join: "sum" | "max"): number[] {
    return Array.from({ length: run.n_days }, (_, day) => {
        const of_day = hours.subarray(day * 24, day * 24 + 24).filter(Number.isFinite);
        if (of_day.length === 0) return NaN;
        return join === "max" ? Math.max(...of_day) : of_day.reduce((sum, v) => sum + v, 0);
    });
}

/// Mean of every hour of the day by month: [month * 24 + hour].
function mean_days(run: Run, hours: Float32Array, over = 1): Float32Array {
    const sums = new Float64Array(288);
    const counts = new Float64Array(288);
    hours.forEach((value, i) => {
        if (!Number.isFinite(value)) return;
        const at = run.days.months[Math.floor(i / 24)]! * 24 + (i % 24);
        sums[at]! += value / over;
        counts[at]! += 1;
    });
    return Float32Array.from(sums, (sum, i) => (counts[i] ? sum / counts[i]! : NaN));
}

function table_of(x_name: string, x: string[], lines: Line[]): Numbers {
    return {
        head: [x_name, ...lines.map((line) => `${line.name} [${unit_of(line.quantity)}]`)],
        rows: x.map((at, i) => [
            at,
            ...lines.map((line) => {
                const value = line.values[i];
                return value === null || value === undefined ? "–" : number(value, "count", line.digits ?? 0);
            }),
        ]),
    };
}

function day_plot(run: Run, state: State, lines: Line[]): HTMLElement {
    const { day, hour } = state.now;
    const title = words.day(day_name(run, day));
    const x = Array.from({ length: 24 }, (_, n) => n + 0.5);
    return figure(
        title,
        line_plot({
            x,
            x_name: words.hour,
            x_text: (at) => clock(Math.floor(at) * 60 + run.days.first_minute),
            x_ticks: () => [0, 6, 12, 18, 24],
            x_range: [0, 24],
            lines,
            label: title,
            mark: hour + 0.5,
        }),
        () => table_of(words.hour, Array.from({ length: 24 }, (_, n) => clock(hour_begin_min(run, n))), lines),
    );
}

function year_plot(run: Run, state: State, lines: Line[]): HTMLElement | null {
    if (run.n_days < 3) return null;
    const firsts = run.days.months
        .map((month, day) => ({ month, day }))
        .filter(({ month, day }) => day > 0 && run.days.months[day - 1] !== month)
        .map(({ day }) => day);
    const sparse = run.n_days > 70 ? [0, ...firsts].filter((_, n) => n % 2 === 0) : Array.from({ length: run.n_days }, (_, d) => d).filter((d) => d % Math.ceil(run.n_days / 6) === 0);
    const name = (day: number) =>
        run.days.dates[Math.round(day)] === undefined ? "" : day_name(run, Math.round(day));
    return figure(
        words.year,
        line_plot({
            x: Array.from({ length: run.n_days }, (_, day) => day),
            x_name: words.day_column,
            x_text: (day) => (sparse.includes(day) && run.n_days > 70 ? month_name(run.days.months[day]!) : name(day)),
            x_ticks: () => sparse,
            lines,
            label: words.year,
            mark: state.now.day,
        }),
        () => table_of(words.day_column, Array.from({ length: run.n_days }, (_, day) => name(day)), lines),
    );
}

function carpet_figure(run: Run, title: string, values: Float32Array, quantity: Quantity): HTMLElement {
    const as_shown = Float32Array.from(values, (v) => converted(v, quantity));
    return figure(title, carpet(as_shown, unit_of(quantity), title, run.days.first_minute), () => ({
        head: [words.hour, ...Array.from({ length: 12 }, (_, m) => month_name(m))],
        rows: Array.from({ length: 24 }, (_, hour) => [
            clock(hour_begin_min(run, hour)),
            ...Array.from({ length: 12 }, (_, m) => number(values[m * 24 + hour], quantity)),
        ]),
    }));
}

/// How many hours a value is reached or passed. Of mean days each hour counts as its month's days.
function duration_plot(run: Run, title: string, hours: Float32Array, quantity: Quantity, colour: string): HTMLElement {
    const weight = run.days.means_of_months ? run.summary.period.hours / (run.n_days * 24) : 1;
    const sorted = hours.filter(Number.isFinite).sort().reverse();
    const some = Math.min(400, sorted.length);
    const picked = Array.from({ length: some }, (_, n) => Math.round((n * (sorted.length - 1)) / Math.max(1, some - 1)));
    const line: Line = {
        name: words.at_least,
        quantity,
        values: shown(picked.map((i) => sorted[i]!), quantity),
        colour,
        filled: true,
        digits: { temperature: 1, flux: 0 }[quantity as string] ?? 2,
    };
    return figure(
        title,
        line_plot({
            x: picked.map((i) => (i + 1) * weight),
            x_name: words.hours,
            x_text: (x) => number(x, "count", Number.isInteger(x) ? 0 : 1),
            lines: [line],
            label: title,
        }),
        () => {
            const coarse = Array.from({ length: Math.min(25, some) }, (_, n) => Math.round((n * (some - 1)) / Math.max(1, Math.min(25, some) - 1)));
            return {
                head: [words.hours, `${words.at_least} [${unit_of(quantity)}]`],
                rows: coarse.map((n) => [
                    number((picked[n]! + 1) * weight, "count", 0),
                    number(line.values[n], "count", line.digits),
                ]),
            };
        },
    );
}

/// Of the sun by month: bars, and the numbers of their four parts.
function month_figure(run: Run, surface: number): HTMLElement {
    const shares = sun_parts.map((part) => ({
        name: text.card.parts[part],
        colour: part_colours[part],
        values: Array.from(run.months[`${part}_kwh_m2`].subarray(surface * 12, surface * 12 + 12), (v) =>
            converted(v, "energy_per_area"),
        ),
    }));
    return figure(words.months, month_bars(shares, unit_of("energy_per_area"), words.months), () => ({
        head: [words.month, ...shares.map((share) => `${share.name} [${unit_of("energy_per_area")}]`)],
        rows: Array.from({ length: 12 }, (_, m) => [
            month_name(m, "long"),
            ...shares.map((share) => (run.months.there[m] ? number(share.values[m], "count", 1) : "–")),
        ]),
    }));
}

const masks = new Map<number, Uint32Array>();

function sky_figure(run: Run, state: State, surface: number): HTMLElement | null {
    if (!run.masks?.surfaces[surface]) return null;
    const host = document.createElement("div");
    host.className = "sky-host";
    let numbers: Numbers = { head: [], rows: [] };
    const draw = (mask: Uint32Array | null) => {
        if (!mask) return;
        numbers = sky_numbers(run, mask);
        host.replaceChildren(sky_diagram(run, mask, state.now.day, state.now.hour, words.path));
    };
    const known = masks.get(surface);
    if (known) draw(known);
    else
        void run.mask_of(surface).then((mask) => {
            if (mask) masks.set(surface, mask);
            draw(mask);
        });
    return figure(words.path, host, () => numbers, words.path_note);
}

/// Of one month or two a carpet would tell what the day tells.
function has_seasons(run: Run): boolean {
    return run.months.there.filter(Boolean).length > 2;
}

/// Those of the chosen hour, which stand beside the model, and the rest.
export function surface_plots(run: Run, state: State, surface: number): { near: HTMLElement[]; rest: HTMLElement[] } {
    const told = run.summary.surfaces[surface]!;
    const { day } = state.now;
    const of_day = (table: Table, item: number) => of_item(table, run, item).subarray(day * 24, day * 24 + 24);
    const sun = of_item(run.hours.surface_sun_w_m2, run, surface);
    const outside = of_item(run.hours.surface_outside_c, run, surface);
    const inward = of_item(run.hours.surface_inward_w, run, surface);
    const open = told.exposed_area_m2 > 0;
    const day_lines: Line[] = [
        { name: words.sun, quantity: "flux", values: shown(of_day(run.hours.surface_sun_w_m2, surface), "flux"), colour: "--direct", filled: true },
    ];
    const year_lines: Line[] = [
        { name: words.day_sun, quantity: "energy_per_area", values: shown(per_day(run, sun, "sum"), "energy_per_area", 1000), colour: "--direct", bars: true, digits: 2 },
    ];
    if (run.with_heat && open) {
        day_lines.push(
            { name: words.outside, quantity: "temperature", values: shown(of_day(run.hours.surface_outside_c, surface), "temperature"), colour: "--hot", right: true, digits: 1 },
            { name: words.outdoor, quantity: "temperature", values: shown(of_day(run.hours.outdoor_c, 0), "temperature"), colour: "--air", right: true, dashed: true, digits: 1 },
        );
        year_lines.push({ name: words.hottest, quantity: "temperature", values: shown(per_day(run, outside, "max"), "temperature"), colour: "--hot", right: true, digits: 1 });
    }
    const sun_means = new Float32Array(288);
    for (const part of sun_parts) {
        run.months[`${part}_w_m2`].subarray(surface * 288, surface * 288 + 288).forEach((v, i) => (sun_means[i]! += v));
    }
    const there = (figures: (HTMLElement | null | false)[]) => figures.filter((f) => f instanceof HTMLElement);
    const seasons = has_seasons(run);
    const near = there([sky_figure(run, state, surface), day_plot(run, state, day_lines)]);
    const rest = there([
        year_plot(run, state, year_lines),
        seasons && month_figure(run, surface),
        seasons && carpet_figure(run, words.carpet_sun, sun_means, "flux"),
        seasons && run.with_heat && told.unit !== null
            ? carpet_figure(run, words.carpet_heat, mean_days(run, inward, told.area_m2), "flux")
            : null,
        duration_plot(run, words.duration_sun, sun, "flux", "--direct"),
        run.with_heat && open ? duration_plot(run, words.duration_temperature, outside, "temperature", "--hot") : null,
    ]);
    return { near, rest };
}

export function room_plots(run: Run, state: State, unit: number): (HTMLElement | null)[] {
    if (!run.with_heat) return [];
    const { day } = state.now;
    const of_day = (table: Table, item: number) => of_item(table, run, item).subarray(day * 24, day * 24 + 24);
    const cooling = of_item(run.hours.unit_cooling_w, run, unit);
    const free = of_item(run.hours.unit_free_air_c, run, unit);
    return [
        day_plot(run, state, [
            { name: words.cooling, quantity: "load", values: shown(of_day(run.hours.unit_cooling_w, unit), "load", 1000), colour: "--sky-light", filled: true, digits: 2 },
            { name: words.air, quantity: "temperature", values: shown(of_day(run.hours.unit_air_c, unit), "temperature"), colour: "--ink", right: true, digits: 1 },
            { name: words.free_air, quantity: "temperature", values: shown(of_day(run.hours.unit_free_air_c, unit), "temperature"), colour: "--hot", right: true, digits: 1 },
            { name: words.outdoor, quantity: "temperature", values: shown(of_day(run.hours.outdoor_c, 0), "temperature"), colour: "--air", right: true, dashed: true, digits: 1 },
        ]),
        year_plot(run, state, [
            { name: words.day_cooling, quantity: "heat", values: shown(per_day(run, cooling, "sum"), "heat", 1000), colour: "--sky-light", bars: true, digits: 1 },
            { name: words.hottest_free, quantity: "temperature", values: shown(per_day(run, free, "max"), "temperature"), colour: "--hot", right: true, digits: 1 },
        ]),
        has_seasons(run) ? carpet_figure(run, words.carpet_cooling, mean_days(run, cooling, 1000), "load") : null,
        duration_plot(run, words.duration_load, cooling.map((w) => w / 1000), "load", "--sky-light"),
    ];
}

