// The answer in plain words, before everything else.
import type { Run, Surface, Unit } from "./data";
import { h } from "./dom";
import { figure_text, in_money } from "./frontier";
import type { Plan } from "./plan_data";
import type { State } from "./state";
import { text } from "./text";
import { number, time_text, with_unit } from "./units";

const words = text.finding;

function largest<T>(items: readonly T[], value: (item: T) => number | null | undefined): T | undefined {
    let best: T | undefined;
    let most = -Infinity;
    for (const item of items) {
        const at = value(item) ?? NaN;
        if (at > most) [best, most] = [item, at];
    }
    return best;
}

/// Every second piece of a sentence is a name: a surface of that name can be chosen.
function sentence(run: Run, state: State, pieces: readonly string[], more = ""): HTMLElement {
    const parts = pieces.map((piece) => {
        const n = run.summary.surfaces.findIndex((s) => s.id === piece);
        if (n < 0) return run.summary.units.some((u) => u.id === piece) || treatment(run, piece) ? h("b", {}, piece) : piece;
        const link = h("a", { href: "#model", class: "name" }, piece);
        link.addEventListener("click", () => state.set({ surface: n }));
        return link;
    });
    return h("p", {}, parts, more && ` ${more.trim()}`);
}

function treatment(run: Run, name: string): boolean {
    return run.treatments.some((t) => t.name === name) || !!run.plan?.chosen.some((item) => item.treatment === name);
}

function plan_lead(run: Run, state: State, plan: Plan): HTMLElement[] {
    const first = plan.chosen[0];
    if (!first) return [h("p", {}, words.plan_nothing(in_money(plan, plan.budget)))];
    const reaches = words.plan_reaches(
        plan.chosen.length,
        in_money(plan, plan.spent),
        text.plan.goals[plan.goal],
        figure_text(plan, plan.before, "goal"),
        figure_text(plan, plan.after, "goal"),
    );
    const budget = in_money(plan, plan.budget);
    const start = first.shade ? words.first_shade(budget, first.surface, first.treatment) : words.first(budget, first.treatment, first.surface);
    return [sentence(run, state, start), h("p", {}, reaches)];
}

function heat_sentences(run: Run, state: State): HTMLElement[] {
    const { surfaces, units, defence, currency } = run.summary;
    const told: HTMLElement[] = [];
    const hottest = largest(
        surfaces.filter((s) => s.unit !== null),
        (s: Surface) => s.heat?.hottest_part?.peak_outside_c ?? s.heat?.peak_outside_c,
    );
    if (hottest?.heat) {
        const part = hottest.heat.hottest_part;
        const touch = hottest.heat.hot_to_touch?.find((t) => t.contact_s === 10 && t.hours_h > 0);
        told.push(
            sentence(
                run,
                state,
                words.hottest(
                    hottest.id,
                    with_unit(part?.peak_outside_c ?? hottest.heat.peak_outside_c, "temperature", 1),
                    time_text(part?.peak_outside_time ?? hottest.heat.peak_outside_time),
                    part && with_unit(part.area_m2, "area", 1),
                ),
                touch &&
                    words.burns(with_unit(touch.hours_h, "hours", 0), with_unit(touch.threshold_c, "temperature", 0), number(touch.contact_s)),
            ),
        );
    }
    const loaded = largest(units, (u: Unit) => u.peak_load_w);
    const free = largest(units, (u: Unit) => u.peak_air_c);
    if (loaded && loaded.peak_load_w > 0) {
        told.push(
            sentence(run, state, words.load(loaded.id, with_unit(loaded.peak_load_w / 1000, "load", 2), time_text(loaded.peak_load_time), with_unit(loaded.peak_latent_w / 1000, "load", 2))),
        );
    } else if (free) {
        told.push(
            sentence(run, state, words.too_hot(free.id, with_unit(free.peak_air_c, "temperature", 1), with_unit(free.hours_too_hot_h, "hours", 0))),
        );
    }
    const [first, last] = [defence?.[0], defence?.at(-1)];
    if (first && last && first !== last) {
        told.push(
            h(
                "p",
                {},
                words.layers(
                    with_unit(first.electricity_kwh, "electricity", 0),
                    with_unit(last.electricity_kwh, "electricity", 0),
                    number(last.cost, "money", 0),
                    currency ?? "",
                ),
            ),
        );
    }
    const wet = surfaces.filter((s) => (s.heat?.condensation_h ?? 0) > 0);
    const wettest = largest(wet, (s) => s.heat?.condensation_h);
    if (wettest) {
        told.push(
            sentence(run, state, words.wet(wet.length, wettest.id, with_unit(wettest.heat!.condensation_h, "hours", 0))),
        );
    }
    return told;
}

/// Treatments were tried in cooled rooms, and none of them saves cooling.
export function nothing_saves(run: Run): boolean {
    const { surfaces, units } = run.summary;
    return (
        run.ranked &&
        run.with_heat &&
        !surfaces.some((s) => s.rank) &&
        surfaces.some((s) => s.treatments?.length) &&
        units.some((u) => u.cooling_kwh > 0)
    );
}

function sun_sentences(run: Run, state: State): HTMLElement[] {
    const { surfaces } = run.summary;
    const most = largest(surfaces, (s: Surface) => s.sun.total_kwh_m2);
    const fierce = largest(surfaces, (s: Surface) => s.sun.worst_hour_w_m2);
    const shaded = largest(surfaces, (s: Surface) => s.sun.shaded_by.find((by) => !by.own)?.kwh_m2);
    const by = shaded?.sun.shaded_by.find((b) => !b.own);
    const told: HTMLElement[] = [];
    if (most) told.push(sentence(run, state, words.most_sun(most.id, with_unit(most.sun.total_kwh_m2, "energy_per_area"))));
    if (fierce)
        told.push(
            sentence(run, state, words.fiercest(fierce.id, with_unit(fierce.sun.worst_hour_w_m2, "flux", 0), time_text(fierce.sun.worst_hour_end))),
        );
    if (shaded && by)
        told.push(sentence(run, state, words.most_shade(by.body, shaded.id, with_unit(by.kwh_m2, "energy_per_area"))));
    return told;
}

export function findings(run: Run, state: State): HTMLElement[] {
    const { surfaces, currency, preview, warnings } = run.summary;
    const first = surfaces.find((s) => s.rank === 1);
    const best = first && largest(first.treatments ?? [], (t) => t.saves_kwh_per_cost);
    const told = run.with_heat ? heat_sentences(run, state) : sun_sentences(run, state);
    const head = run.plan
        ? plan_lead(run, state, run.plan)
        : first && best
            ? [
                  sentence(run, state, words.best(best.treatment, first.id)),
                  h("p", {}, words.best_saves(with_unit(best.saves_cooling_kwh, "heat"), number(best.cost, "money", 0), currency ?? "")),
              ]
            : nothing_saves(run)
              ? [h("p", {}, words.nothing_saves)]
              : told.splice(0, 1);
    const notes: HTMLElement[] = [];
    if (preview) notes.push(h("p", { class: "notice" }, text.preview));
    if (warnings.length > 0)
        notes.push(h("p", { class: "notice" }, text.warned(warnings.length), " ", h("a", { href: "#warnings" }, text.read_warnings)));
    return [h("div", { class: "lead" }, head), h("div", { class: "more" }, told), ...notes];
}
