// What is known of one surface.
import { sun_parts, type Run, type Surface } from "./data";
import { split_bar } from "./drawings";
import { h } from "./dom";
import { figure_text, in_money, money_digits } from "./frontier";
import { why_text } from "./plan";
import { own_point } from "./plan_data";
import { part_colours } from "./plots";
import type { State } from "./state";
import { text } from "./text";
import { day_text, number, time_text, unit_of, with_unit, type Quantity } from "./units";

const words = text.card;

export function kind_name(kind: string): string {
    return words.kinds[kind] ?? kind;
}

function facing(surface: Surface): string {
    const { azimuth_deg, tilt_deg } = surface;
    if (tilt_deg < 1 || tilt_deg > 179) return words.level;
    const name = text.directions[Math.round(azimuth_deg / 45) % 8]!;
    const faces = words.facing(name, with_unit(azimuth_deg, "angle", 0));
    return Math.abs(tilt_deg - 90) < 1 ? faces : `${faces}, ${words.tilted(with_unit(tilt_deg, "angle", 0))}`;
}

/// A figure with the place in summary.json that it comes from.
function line(name: string, key: string, value: number | null | undefined, quantity: Quantity, digits?: number, after = ""): HTMLElement[] {
    return [
        h("dt", {}, name),
        h(
            "dd",
            {},
            h("span", { "data-key": key, "data-digits": digits }, number(value, quantity, digits)),
            value === null || value === undefined ? "" : ` ${unit_of(quantity)}`,
            after && h("span", { class: "after" }, after),
        ),
    ];
}

function words_line(name: string, value: string): HTMLElement[] {
    return [h("dt", {}, name), h("dd", {}, value)];
}

/// Sums of energy are told to the whole unit of the metric system, small ones finer.
function fine(value: number): number {
    return Math.abs(value) < 10 ? 2 : Math.abs(value) < 100 ? 1 : 0;
}

function sun_of(surface: Surface): HTMLElement {
    const { sun } = surface;
    const range = 1.96 * sun.standard_error_kwh_m2;
    return h(
        "section",
        {},
        h("h4", {}, words.sun),
        split_bar(
            sun_parts.map((part) => ({ name: words.parts[part], colour: part_colours[part], value: sun[`${part}_kwh_m2`] })),
            words.sun,
        ),
        h(
            "dl",
            {},
            line(words.total, "sun.total_kwh_m2", sun.total_kwh_m2, "energy_per_area", fine(sun.total_kwh_m2), ` ± ${number(range, "energy_per_area")}`),
            sun_parts.flatMap((part) => {
                const value = sun[`${part}_kwh_m2`];
                const [dt, dd] = line(words.parts[part], `sun.${part}_kwh_m2`, value, "energy_per_area", fine(value));
                dt!.prepend(h("span", { class: "swatch", style: `background: var(${part_colours[part]})` }));
                return [dt!, dd!];
            }),
            line(words.unshaded, "sun.unshaded_direct_kwh_m2", sun.unshaded_direct_kwh_m2, "energy_per_area", fine(sun.unshaded_direct_kwh_m2)),
            line(words.sun_hours, "sun.sun_hours_h", sun.sun_hours_h, "hours", 0),
            sun.earliest_sun && sun.latest_sun && words_line(words.sun_from_to, `${sun.earliest_sun} – ${sun.latest_sun}`),
            sun.worst_hour_end &&
                line(words.worst_hour, "sun.worst_hour_w_m2", sun.worst_hour_w_m2, "flux", 0, day_text(sun.worst_hour_end)),
            sun.shaded_by.length > 0 && [
                h("dt", { class: "wide" }, words.shaded_by),
                h(
                    "dd",
                    { class: "wide" },
                    sun.shaded_by.map((by) =>
                        h(
                            "span",
                            { class: "by" },
                            `${by.own ? words.itself(by.body) : by.body} `,
                            h("b", {}, with_unit(by.kwh_m2, "energy_per_area", fine(by.kwh_m2))),
                        ),
                    ),
                ),
            ],
        ),
    );
}

function heat_of(surface: Surface): HTMLElement | null {
    const heat = surface.heat;
    if (!heat) return null;
    const touch = heat.hot_to_touch?.find((t) => t.contact_s === 10);
    return h(
        "section",
        {},
        h("h4", {}, words.heat),
        h(
            "dl",
            {},
            line(words.peak_outside, "heat.peak_outside_c", heat.peak_outside_c, "temperature", 1, heat.peak_outside_time ? time_text(heat.peak_outside_time) : ""),
            heat.hottest_part &&
                line(
                    words.hottest_part,
                    "heat.hottest_part.peak_outside_c",
                    heat.hottest_part.peak_outside_c,
                    "temperature",
                    1,
                    words.about_facet(with_unit(heat.hottest_part.area_m2, "area", 1), heat.hottest_part.facet, time_text(heat.hottest_part.peak_outside_time)),
                ),
            line(words.mean_outside, "heat.mean_outside_c", heat.mean_outside_c, "temperature", 1),
            line(words.absorbed, "heat.absorbed_kwh_m2", heat.absorbed_kwh_m2, "energy_per_area", fine(heat.absorbed_kwh_m2)),
            line(words.inward, "heat.inward_kwh", heat.inward_kwh, "heat", 0),
            line(words.peak_inward, "heat.peak_inward_w", heat.peak_inward_w, "power", 0, heat.peak_inward_time ? time_text(heat.peak_inward_time) : ""),
            touch && words_line(words.touch(number(touch.contact_s, "count", 0)), with_unit(touch.hours_h, "hours", 0)),
            heat.condensation_h !== null && line(words.condensation, "heat.condensation_h", heat.condensation_h, "hours", 0),
        ),
    );
}

/// What the chosen budget buys; of the plan's own all that is told of it.
function plan_of(run: Run, surface: Surface, point: number): HTMLElement | null {
    const { plan } = run;
    if (!plan) return null;
    const head = h("h4", {}, text.plan.here(in_money(plan, plan.frontier[point]!.budget)));
    if (point !== own_point(plan)) {
        const bought = plan.frontier[point]!.candidates.map((c) => plan.candidates[c]!).find((c) => c.surface === surface.id);
        if (!bought) return null;
        const cost = words_line(text.plan.columns.cost, in_money(plan, bought.cost));
        const alone = words_line(text.plan.columns.alone, figure_text(plan, bought, "alone_saves"));
        return h("section", {}, head, h("h5", {}, bought.treatment), h("dl", {}, cost, alone));
    }
    const n = plan.chosen.findIndex((item) => item.surface === surface.id);
    if (n < 0) return null;
    const item = plan.chosen[n]!;
    return h(
        "section",
        {},
        head,
        h("h5", {}, `${item.treatment} `, h("span", { class: "badge" }, text.plan.order(number(n + 1), number(plan.chosen.length)))),
        h(
            "dl",
            {},
            words_line(text.plan.columns.cost, in_money(plan, item.cost)),
            item.call_out_cost > 0 && words_line(text.plan.columns.call_out, in_money(plan, item.call_out_cost)),
            item.upkeep_per_year > 0 && words_line(text.plan.columns.upkeep, `${number(item.upkeep_per_year, "money", money_digits(plan))} ${text.plan.columns.a_year(plan.currency)}`),
            words_line(text.plan.columns.saves, with_unit(item.saves_kwh, "heat", 0)),
            words_line(text.plan.columns.peak, with_unit(item.saves_peak_w, "power", 0)),
            item.confidence !== null && words_line(text.plan.columns.sure, with_unit(100 * item.confidence, "percent", 0)),
        ),
        h("p", { class: "note" }, why_text(item)),
    );
}

/// Of a plan: what could be bought here.
function offered_here(run: Run, surface: Surface): HTMLElement | null {
    const { plan } = run;
    const list = plan?.candidates.filter((c) => c.surface === surface.id) ?? [];
    if (!plan || list.length === 0) return null;
    return h(
        "section",
        {},
        h("h4", {}, text.plan.finishes),
        list.map((c) =>
            h(
                "div",
                { class: "treatment" },
                h("h5", {}, c.treatment),
                h(
                    "dl",
                    { class: "row" },
                    h("div", {}, words_line(text.plan.columns.cost, in_money(plan, c.cost))),
                    h("div", {}, words_line(text.plan.columns.alone, figure_text(plan, c, "alone_saves"))),
                ),
            ),
        ),
    );
}

function treatments_of(surface: Surface, currency: string): HTMLElement | null {
    const list = surface.treatments ?? [];
    if (list.length === 0) return null;
    const best = surface.rank ? Math.max(...list.map((t) => t.saves_kwh_per_cost)) : NaN;
    const names = text.treatment;
    const cell = (n: number, key: string, value: number, quantity: Quantity, digits?: number) =>
        h(
            "div",
            {},
            h("dt", {}, names[key as keyof typeof names] ?? key),
            h("dd", {}, h("span", { "data-key": `treatments.${n}.${keys[key]}`, "data-digits": digits }, number(value, quantity, digits)), ` ${quantity === "money" ? currency : unit_of(quantity)}`),
        );
    const keys: Record<string, string> = {
        cost: "cost",
        saves: "saves_cooling_kwh",
        heating: "adds_heating_kwh",
        peak: "saves_peak_w",
        cooler: "lowers_peak_outside_k",
    };
    return h(
        "section",
        {},
        h("h4", {}, words.treatments),
        list.map((t, n) =>
            h(
                "div",
                { class: t.saves_kwh_per_cost === best ? "treatment best" : "treatment" },
                h("h5", {}, t.treatment, t.saves_kwh_per_cost === best && h("span", { class: "badge" }, words.best)),
                h(
                    "dl",
                    { class: "row" },
                    cell(n, "cost", t.cost, "money", 0),
                    cell(n, "saves", t.saves_cooling_kwh, "heat", 0),
                    cell(n, "heating", t.adds_heating_kwh, "heat", 0),
                    cell(n, "peak", t.saves_peak_w, "power", 0),
                    cell(n, "cooler", t.lowers_peak_outside_k, "difference", 1),
                ),
            ),
        ),
    );
}

export function card(run: Run, state: State): HTMLElement {
    const index = state.now.surface;
    const surface = index === null ? undefined : run.summary.surfaces[index];
    if (!surface) return h("div", { class: "card empty" }, h("p", {}, words.none));
    const ranked = run.summary.surfaces.filter((s) => s.rank).length;
    const close = h("button", { type: "button", class: "close", "aria-label": words.close }, "×");
    close.addEventListener("click", () => state.set({ surface: null }));
    const kind = kind_name(surface.kind);
    return h(
        "div",
        { class: "card", "data-surface": surface.id },
        h(
            "header",
            {},
            h("div", {}, h("h3", {}, surface.id), close),
            h("p", { class: "what" }, `${surface.unit ? words.of(kind, surface.unit) : kind}, ${facing(surface)}`),
            (run.ranked || ranked > 0) &&
                h("p", { class: surface.rank ? "rank" : "rank none" }, surface.rank ? words.rank(number(surface.rank), number(ranked)) : words.unranked),
        ),
        h(
            "dl",
            {},
            line(words.area, "area_m2", surface.area_m2, "area", 1),
            line(words.open, "exposed_area_m2", surface.exposed_area_m2, "area", 1),
            words_line(words.construction, surface.construction),
        ),
        plan_of(run, surface, state.now.plan),
        sun_of(surface),
        heat_of(surface),
        treatments_of(surface, run.summary.currency ?? ""),
        offered_here(run, surface),
    );
}
