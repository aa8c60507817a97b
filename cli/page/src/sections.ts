// The tables: surfaces, rooms, layers of defence, and how everything was computed.
import { stem, sun_parts, type DefenceStage, type InputRecord, type Run, type Surface, type Treated, type Unit } from "./data";
import { h } from "./dom";
import { kind_name } from "./card";
import { nothing_saves } from "./findings";
import { constructions_tables } from "./heat_tables";
import { Table, words_of, type Column } from "./table";
import type { State } from "./state";
import { text } from "./text";
import { number, small_share, time_text, unit_of, with_unit, date_text, last_day } from "./units";

export function best_of(surface: Surface): Treated | null {
    if (!surface.rank || !surface.treatments?.length) return null;
    return surface.treatments.reduce((a, b) => (b.saves_kwh_per_cost > a.saves_kwh_per_cost ? b : a));
}

function name_button(name: string, chosen: boolean, call: () => void): HTMLElement {
    const button = h("button", { type: "button", class: "name", "aria-pressed": chosen ? "true" : "false" }, words_of(name));
    button.addEventListener("click", call);
    return button;
}

export function surfaces_table(run: Run, state: State): { intro: string; table: Table<Surface> } {
    const { surfaces } = run.summary;
    const names = text.surfaces.columns;
    const any_rank = surfaces.some((s) => s.rank);
    const tried_here = any_rank && !run.plan;
    const columns: Column<Surface>[] = [
        { name: names.rank, value: (s) => s.rank ?? null, quantity: "count", digits: 0 },
        {
            name: names.id,
            value: (s) => s.id,
            show: (s) => {
                const n = surfaces.indexOf(s);
                return name_button(s.id, state.now.surface === n, () => state.set({ surface: n }));
            },
        },
        { name: names.kind, value: (s) => kind_name(s.kind), screen_only: true },
        { name: names.open, value: (s) => s.exposed_area_m2, quantity: "area", digits: 1 },
        { name: names.sun, value: (s) => s.sun.total_kwh_m2, quantity: "energy_per_area", digits: "by column" },
    ];
    if (run.with_heat) {
        columns.push(
            { name: names.peak, value: (s) => s.heat?.peak_outside_c ?? null, quantity: "temperature", digits: 1 },
            {
                name: names.when,
                value: (s) => s.heat?.peak_outside_time?.slice(5, 16) ?? null,
                show: (s) => time_text(s.heat?.peak_outside_time),
                screen_only: true,
            },
            { name: names.inward, value: (s) => s.heat?.inward_kwh ?? null, quantity: "heat", digits: "by column" },
        );
    }
    if (!run.with_heat)
        for (const part of sun_parts)
            columns.push({ name: text.card.parts[part], value: (s) => s.sun[`${part}_kwh_m2`], quantity: "energy_per_area", digits: "by column" });
    if (tried_here) {
        columns.push(
            { name: names.treatment, value: (s) => best_of(s)?.treatment ?? null, show: (s) => best_of(s)?.treatment ?? "–" },
            { name: names.cost, value: (s) => best_of(s)?.cost ?? null, quantity: "money", digits: 0, unit: run.summary.currency },
            { name: names.saves, value: (s) => best_of(s)?.saves_cooling_kwh ?? null, quantity: "heat", digits: "by column" },
            { name: names.per_cost, value: (s) => best_of(s)?.saves_kwh_per_cost ?? null, quantity: "heat_per_cost", digits: 2, unit: () => text.per(unit_of("heat_per_cost"), run.summary.currency ?? "") },
        );
    }
    const rows = tried_here ? surfaces : [...surfaces].sort((a, b) => b.sun.total_kwh_m2 - a.sun.total_kwh_m2);
    const shown = any_rank ? columns : columns.slice(1);
    const table = new Table<Surface>({
        caption: text.sections.surfaces,
        file: `${stem(run)}-surfaces.csv`,
        columns: shown,
        rows,
        name_of: (s) => s.id,
        kind_of: (s) => s.kind,
        sorted_by: 0,
        first_rows: 20,
        printed_rows: 40,
        is_chosen: (s) => surfaces.indexOf(s) === state.now.surface,
        unsorted: !tried_here,
    });
    const intro = tried_here ? text.surfaces.ranked : nothing_saves(run) ? text.surfaces.none_saves : run.ranked ? text.surfaces.nothing_saved : run.plan ? text.surfaces.planned(any_rank) : text.surfaces.unranked;
    return { intro, table };
}

export function rooms_table(run: Run, state: State): { intro: string; table: Table<Unit> } {
    const { units } = run.summary;
    const names = text.rooms.columns;
    const limited = units.some((u) => u.hours_not_met_h !== null && u.hours_not_met_h !== undefined);
    const columns: Column<Unit>[] = [
        {
            name: names.id,
            value: (u) => u.id,
            show: (u) => {
                const n = units.indexOf(u);
                return run.with_heat ? name_button(u.id, state.now.unit === n, () => state.set({ unit: n })) : u.id;
            },
        },
        { name: names.floor, value: (u) => u.floor_area_m2, quantity: "area", digits: 1 },
        { name: names.volume, value: (u) => u.volume_m3, quantity: "volume", digits: 0 },
    ];
    if (run.with_heat) {
        columns.push(
            { name: names.cooling, value: (u) => u.cooling_kwh, quantity: "heat", digits: "by column" },
            { name: names.heating, value: (u) => u.heating_kwh, quantity: "heat", digits: "by column" },
            { name: names.electricity, value: (u) => u.electricity_kwh, quantity: "electricity", digits: "by column" },
            { name: names.bill, value: (u) => u.electricity_cost, quantity: "money", digits: 0, unit: run.summary.currency },
            { name: names.peak, value: (u) => u.peak_load_w / 1000, quantity: "load", digits: 2 },
            { name: names.when, value: (u) => u.peak_load_time?.slice(5, 16) ?? null, show: (u) => time_text(u.peak_load_time), screen_only: true },
            { name: names.plant, value: (u) => u.needed_capacity_w / 1000, quantity: "load", digits: 2 },
        );
        if (limited) columns.push({ name: names.not_met, value: (u) => u.hours_not_met_h, quantity: "hours", digits: 0 });
        columns.push(
            { name: names.free, value: (u) => u.peak_air_c, quantity: "temperature", digits: 1 },
            { name: names.too_hot, value: (u) => u.hours_too_hot_h, quantity: "hours", digits: 0 },
        );
    }
    const table = new Table<Unit>({
        caption: text.sections.rooms,
        file: `${stem(run)}-rooms.csv`,
        columns,
        rows: units,
        name_of: (u) => u.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 30,
        printed_rows: 40,
        is_chosen: (u) => run.with_heat && units.indexOf(u) === state.now.unit,
    });
    return { intro: run.with_heat ? text.rooms.intro(limited) : text.rooms.sizes, table };
}

export function defence_table(run: Run): HTMLElement[] {
    const stages = run.summary.defence ?? [];
    const names = text.defence.columns;
    const most = Math.max(...stages.map((stage) => stage.electricity_kwh));
    const place = (value: number | null, where: string | null) =>
        value === null ? "–" : h("span", {}, `${number(value, "temperature", 1)} `, h("small", {}, where ?? ""));
    const title = (stage: DefenceStage) => (stage.added === null ? text.defence.stands : text.defence.plus(stage.added));
    const table = new Table<DefenceStage>({
        caption: text.sections.defence,
        file: `${stem(run)}-defence.csv`,
        columns: [
            { name: names.layer, value: title, show: (s) => h("b", {}, title(s)) },
            { name: names.area, value: (s) => s.treated_area_m2, quantity: "area", digits: 0 },
            { name: names.cost, value: (s) => s.cost, quantity: "money", digits: 0, unit: run.summary.currency },
            { name: names.steel, value: (s) => s.peak_steel_c, quantity: "temperature", show: (s) => place(s.peak_steel_c, s.peak_steel_surface) },
            { name: names.room, value: (s) => s.peak_air_c, quantity: "temperature", show: (s) => place(s.peak_air_c, s.peak_air_unit) },
            { name: names.too_hot, value: (s) => Math.max(0, ...s.units.map((u) => u.hours_too_hot_h)), quantity: "hours", digits: 0 },
            { name: names.cooling, value: (s) => s.cooling_kwh, quantity: "heat", digits: "by column" },
            { name: names.heating, value: (s) => s.heating_kwh, quantity: "heat", digits: "by column" },
            { name: names.electricity, value: (s) => s.electricity_kwh, quantity: "electricity", digits: "by column" },
            { name: names.bill, value: (s) => s.electricity_cost, quantity: "money", digits: 0, unit: run.summary.currency },
            { name: names.plants, value: (s) => s.needed_capacity_w / 1000, quantity: "load", digits: 1 },
        ],
        rows: stages,
        name_of: title,
        sorted_by: 0,
        unsorted: true,
        tools: false,
    });
    const bars = h(
        "figure",
        { class: "stairs" },
        h("figcaption", {}, text.defence.chart),
        stages.map((stage) =>
            h(
                "div",
                { class: "stair" },
                h("span", { class: "stair-name" }, title(stage)),
                h("span", { class: "stair-track" }, h("span", { class: "stair-bar", style: `width: ${(100 * stage.electricity_kwh) / most}%` })),
                h("span", { class: "stair-value" }, with_unit(stage.electricity_kwh, "electricity", 0)),
            ),
        ),
    );
    const air = stages.at(-1)?.cladding_air;
    const moves = air && air.peak_outlet_c !== null;
    const told = moves
        ? text.defence.air(
              with_unit(air.peak_air_speed_m_s, "speed"),
              with_unit(air.peak_outlet_c, "temperature", 1),
              with_unit(air.peak_carried_w, "power"),
              with_unit(air.carried_away_kwh, "heat"),
          )
        : null;
    return [bars, table.element, ...(told ? [h("p", { class: "note" }, told)] : [])];
}

function pairs(list: [string, string, string?][]): HTMLElement {
    return h(
        "dl",
        { class: "pairs" },
        list.flatMap(([name, value, note]) => [h("dt", {}, name), h("dd", {}, value, note && h("small", {}, note))]),
    );
}

function warnings_of(run: Run): HTMLElement {
    const { warnings } = run.summary;
    const mended = run.bodies.filter((body) => body.repaired.length > 0);
    return h(
        "div",
        { id: "warnings" },
        mended.length > 0 && [
            h("h3", {}, text.method.repairs),
            h("ul", { class: "warnings" }, mended.map((b) => h("li", {}, h("b", {}, b.id), `: ${b.repaired.join("; ")}`))),
        ],
        h("h3", {}, text.method.warnings),
        warnings.length === 0
            ? h("p", {}, text.method.no_warnings)
            : h(
                  "ul",
                  { class: "warnings" },
                  warnings.map((w) => h("li", {}, w.text, w.where && h("small", {}, `${text.method.where}: ${w.where}`))),
              ),
    );
}

function value_text(value: InputRecord["value"]): string {
    if (Array.isArray(value)) return value.map((v) => (typeof v === "number" ? number_of(v) : v)).join(", ");
    return typeof value === "number" ? number_of(value) : String(value);
}

/// As the site file has it: to be compared with it and copied.
function number_of(value: number): string {
    return String(Number(value.toPrecision(7)));
}

function inputs_table(run: Run): HTMLElement {
    const names = text.method;
    return new Table<InputRecord>({
        caption: names.inputs,
        file: `${stem(run)}-inputs.csv`,
        columns: [
            { name: names.key, value: (i) => i.key, show: (i) => h("code", {}, i.key) },
            { name: names.value, value: (i) => value_text(i.value), show: (i) => h("span", { class: "value" }, value_text(i.value)) },
            { name: names.from, value: (i) => i.from },
            { name: names.source, value: (i) => i.source },
        ],
        rows: run.summary.inputs,
        name_of: (i) => i.key,
        kind_of: (i) => i.from,
        sorted_by: 0,
        unsorted: true,
        first_rows: 12,
        printed_rows: 0,
    }).element;
}

function bodies_table(run: Run): HTMLElement {
    const names = text.method.body_columns;
    return new Table({
        caption: text.method.bodies,
        file: `${stem(run)}-bodies.csv`,
        columns: [
            { name: names.id, value: (b) => b.id },
            { name: names.role, value: (b) => b.role },
            { name: names.part_of, value: (b) => b.part_of ?? "" },
            { name: names.path, value: (b) => b.path },
        ],
        rows: run.bodies,
        name_of: (b) => b.id,
        sorted_by: 0,
        unsorted: true,
        first_rows: 20,
        printed_rows: 0,
    }).element;
}

type Offered = Run["treatments"][number];

function priced_by_area(run: Run): Pick<Column<Offered>, "quantity" | "digits" | "unit"> {
    return { quantity: "per_area", digits: 2, unit: () => text.per(run.summary.currency ?? "", unit_of("per_area")) };
}

/// Columns of what only some treatments cost: upkeep, new coats, call-outs.
function paid_later(run: Run): Column<Offered>[] {
    const { treatments } = run;
    const names = text.method.treatment_columns;
    const by_area = priced_by_area(run);
    const currency = run.summary.currency;
    const columns: Column<Offered>[] = [];
    if (treatments.some((t) => t.upkeep_per_m2_year > 0))
        columns.push({ name: names.upkeep, value: (t) => t.upkeep_per_m2_year, ...by_area });
    if (treatments.some((t) => t.recoat_years !== null))
        columns.push(
            { name: names.coat, value: (t) => t.recoat_per_m2, ...by_area },
            { name: names.coat_years, value: (t) => t.recoat_years, quantity: "count", digits: 0 },
        );
    if (treatments.some((t) => t.call_out !== null))
        columns.push(
            { name: names.call_out, value: (t) => t.call_out },
            { name: names.call_out_cost, value: (t) => (t.call_out === null ? null : t.call_out_cost), quantity: "count", digits: 2, unit: currency },
        );
    return columns;
}

function treatments_table(run: Run): HTMLElement {
    const names = text.method.treatment_columns;
    const by_area = priced_by_area(run);
    return new Table({
        caption: text.method.treatments,
        file: `${stem(run)}-treatments.csv`,
        columns: [
            { name: names.name, value: (t) => t.name },
            { name: names.kind, value: (t) => t.kind },
            { name: names.per_area, value: (t) => t.cost_per_m2, ...by_area },
            { name: names.fixed, value: (t) => t.fixed_cost, quantity: "count", digits: 2, unit: run.summary.currency },
            { name: names.life, value: (t) => t.life_years, quantity: "count", digits: 0 },
            ...paid_later(run),
            { name: names.reflectance, value: (t) => t.aged_reflectance, quantity: "count", digits: 2 },
            ...(run.treatments.some((t) => t.g_value !== null)
                ? [{ name: names.g_value, value: (t: Offered) => t.g_value, quantity: "count" as const, digits: 2 }]
                : []),
        ],
        rows: run.treatments,
        name_of: (t) => t.name,
        sorted_by: 0,
        unsorted: true,
        tools: false,
    }).element;
}

export function method(run: Run): (HTMLElement | null)[] {
    const { summary } = run;
    const names = text.method;
    const { balance, period, accuracy, site } = summary;
    const span = period.months_of_years
        ? text.typical_year(...period.months_of_years)
        : text.from_to(date_text(period.from), date_text(last_day(period.to)));
    const sure = pairs([
        [
            names.accuracy,
            `± ${with_unit(accuracy.reached_percent, "percent", 2)}${accuracy.least_sure === null ? "" : ` (${accuracy.least_sure})`}`,
            names.accuracy_note,
        ],
        [names.light_gap, small_share(balance.solar_residual), names.gap_note],
        ...(balance.heat_residual === undefined ? [] : [[names.heat_gap, small_share(balance.heat_residual)] as [string, string]]),
    ]);
    const about = pairs([
        [names.file, `${summary.model}, ${run.model.schema}, ${run.model.length_unit}`],
        [names.weather, period.weather],
        [names.period, `${span}, ${number(period.hours)} h`],
        [names.sun_step, names.minutes(number(period.sun_step_s / 60))],
        ...(period.heat_step_s ? [[names.heat_step, names.minutes(number(period.heat_step_s / 60))] as [string, string]] : []),
        [names.north, with_unit(site.north_deg, "angle")],
        [names.albedo, number(site.ground_albedo, "count", 2)],
    ]);
    return [
        warnings_of(run),
        h("div", { class: "two" }, h("div", {}, h("h3", {}, names.sure), sure), h("div", {}, h("h3", {}, names.run), about, h("p", { class: "note" }, names.clock))),
        h("h3", {}, names.cautions),
        h("ul", { class: "cautions" }, summary.cautions.map((caution) => h("li", {}, caution))),
        ...constructions_tables(run),
        run.treatments.length > 0 && run.with_heat ? h("div", {}, h("h3", {}, names.treatments), treatments_table(run)) : null,
        h("details", { class: "block screen" }, h("summary", {}, names.inputs), inputs_table(run)),
        h("details", { class: "block screen" }, h("summary", {}, names.bodies), bodies_table(run)),
        h(
            "details",
            { class: "block screen" },
            h("summary", {}, names.site_file(run.site_file.name)),
            h("pre", { tabindex: 0, role: "group", "aria-label": names.site_file(run.site_file.name) }, run.site_file.lines.join("\n")),
        ),
    ];
}
